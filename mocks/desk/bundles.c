#include "bundles.h"

#include <string.h>

static void
send_bundle(struct Bundles *bundles, struct Bundle *bundle)
{
    if (bundle->messages == 1) /* a bundle of one is just the message */
        bundles->send(bundles->context, &bundle->peer, bundle->data + WIRE_BUNDLE_HEAD + 4,
                      bundle->size - WIRE_BUNDLE_HEAD - 4);
    else if (bundle->messages > 1)
        bundles->send(bundles->context, &bundle->peer, bundle->data, bundle->size);
    bundle->messages = 0;
}

static struct Bundle *
find_open(struct Bundles *bundles, const struct Peer *to)
{
    for (size_t i = 0; i < BUNDLES_OPEN; i++)
        if (bundles->open[i].messages > 0 && Peer_same(&bundles->open[i].peer, to))
            return &bundles->open[i];
    return NULL;
}

static struct Bundle *
open_bundle(struct Bundles *bundles, const struct Peer *to)
{
    struct Bundle *bundle = &bundles->open[bundles->oldest];

    bundles->oldest = (bundles->oldest + 1) % BUNDLES_OPEN;
    send_bundle(bundles, bundle);
    bundle->peer = *to;
    bundle->size = WIRE_BUNDLE_HEAD;
    Wire_bundle_head(bundle->data);
    return bundle;
}

void
Bundles_add(struct Bundles *bundles, const struct Peer *to, const uint8_t *message, size_t size,
            size_t limit)
{
    struct Bundle *bundle = find_open(bundles, to);

    if (bundle != NULL && bundle->size + 4 + size > sizeof bundle->data) {
        send_bundle(bundles, bundle);
        bundle = NULL;
    }
    if (bundle == NULL)
        bundle = open_bundle(bundles, to);
    Wire_put_u32(bundle->data + bundle->size, (uint32_t)size);
    memcpy(bundle->data + bundle->size + 4, message, size);
    bundle->size += 4 + size;
    bundle->messages++;
    if (bundle->messages >= limit)
        send_bundle(bundles, bundle);
}

void
Bundles_close(struct Bundles *bundles)
{
    for (size_t i = 0; i < BUNDLES_OPEN; i++)
        send_bundle(bundles, &bundles->open[i]);
}
