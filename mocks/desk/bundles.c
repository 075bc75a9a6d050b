/* SPDX-License-Identifier: MIT */
#include "bundles.h"

#include <string.h>
#include <time.h>

static const uint64_t FROM_1900_TO_1970_S = 2208988800;

/* Seconds since 1900 and their fraction in 32 bits each. */
static uint64_t
time_tag_of_now(void)
{
    struct timespec now;

    clock_gettime(CLOCK_REALTIME, &now);
    return ((uint64_t)now.tv_sec + FROM_1900_TO_1970_S) << 32 |
           ((uint64_t)now.tv_nsec << 32) / 1000000000;
}

/*
 * One head inside the other, then the elements. Of several elements the last belongs to the
 * outermost bundle, so that who reads it has to come up again.
 */
static size_t
write_nested(const struct bundle *bundle, size_t depth, uint8_t *out)
{
    size_t inner = bundle->messages > 1 ? bundle->last : bundle->size;
    uint64_t now = time_tag_of_now();
    uint8_t *at = out;

    wire_bundle_head(at, now);
    at += WIRE_BUNDLE_HEAD;
    for (size_t below = depth - 1; below > 0; below--) {
        wire_put_u32(at, (uint32_t)((WIRE_BUNDLE_HEAD + 4) * below - 4 + inner));
        wire_bundle_head(at + 4, now);
        at += 4 + WIRE_BUNDLE_HEAD;
    }
    memcpy(at, bundle->data, bundle->size);
    return (size_t)(at - out) + bundle->size;
}

static size_t
write_plain(const struct bundle *bundle, uint8_t *out)
{
    wire_bundle_head(out, WIRE_AT_ONCE);
    memcpy(out + WIRE_BUNDLE_HEAD, bundle->data, bundle->size);
    return WIRE_BUNDLE_HEAD + bundle->size;
}

static void
send_bundle(struct bundles *bundles, struct bundle *bundle)
{
    uint8_t out[LINK_SEND_SIZE];

    if (bundle->messages == 0)
        return;
    if (bundles->depth > 0)
        bundles->send(bundles->context, &bundle->peer, out,
                      write_nested(bundle, bundles->depth, out));
    else if (bundle->messages > 1)
        bundles->send(bundles->context, &bundle->peer, out, write_plain(bundle, out));
    else /* a bundle of one is just the message */
        bundles->send(bundles->context, &bundle->peer, bundle->data + 4, bundle->size - 4);
    bundle->messages = 0;
}

static struct bundle *
find_open(struct bundles *bundles, const struct peer *to)
{
    for (size_t i = 0; i < BUNDLES_OPEN; i++)
        if (bundles->open[i].messages > 0 && peer_same(&bundles->open[i].peer, to))
            return &bundles->open[i];
    return NULL;
}

static struct bundle *
open_bundle(struct bundles *bundles, const struct peer *to)
{
    struct bundle *bundle = &bundles->open[bundles->oldest];

    bundles->oldest = (bundles->oldest + 1) % BUNDLES_OPEN;
    send_bundle(bundles, bundle);
    bundle->peer = *to;
    bundle->size = 0;
    return bundle;
}

void
bundles_add(struct bundles *bundles, const struct peer *to, const uint8_t *message, size_t size,
            size_t limit)
{
    struct bundle *bundle = find_open(bundles, to);

    if (bundle && bundle->size + 4 + size > sizeof bundle->data) {
        send_bundle(bundles, bundle);
        bundle = NULL;
    }
    if (!bundle)
        bundle = open_bundle(bundles, to);
    bundle->last = bundle->size;
    wire_put_u32(bundle->data + bundle->size, (uint32_t)size);
    memcpy(bundle->data + bundle->size + 4, message, size);
    bundle->size += 4 + size;
    bundle->messages++;
    if (bundle->messages >= limit)
        send_bundle(bundles, bundle);
}

void
bundles_close(struct bundles *bundles)
{
    for (size_t i = 0; i < BUNDLES_OPEN; i++)
        send_bundle(bundles, &bundles->open[i]);
}
