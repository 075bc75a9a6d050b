/* SPDX-License-Identifier: MIT */
/* CPU of an evening of spectra: 32 mixes of 100 bands, 20 frames a second, as blobs of 16-bit numbers,
 * each datagram a frame that wanders by some dB around a tone that swells and fades:
 *   (a) a bare recvmmsg loop that only counts the same datagrams
 *   (b) the receive path: socket, checks, numbers; nothing looks for rings
 *   (c) and the rule for rings decides on each frame, and the engine runs behind each 32 of them: by a
 *       clock that moves on by 50 ms for each frame of a mix, whenever it comes
 * in bursts that take turns, as receive.c has it.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "base/json.h"
#include "link/link.h"
#include "loop/loop.h"
#include "loop/stand.h"
#include "profile/profile.h"
#include "rig.h"
#include "spectrum/bands.h"

enum { MIXES = 32, BANDS = 100, RATE = 20, BURST = 4 * MIXES, ROUNDS = 600, WARM_UP = 60 };

/* Of the receive buffer: what gainwarden asks for. A burst that no buffer holds would be waited for
 * without end, but for LONGEST_S. */
enum { ROOM = 4 * 1024 * 1024, LONGEST_S = 300 };

/* The tone, of this band: its way up and down again. */
enum { TONE = 40, VARIANTS = 61 };

static const char profile_text[] =
    "{ \"profile_format\": 1, \"desk\": \"bench\","
    "  \"link\": { \"transport\": \"udp\", \"port\": 1 },"
    "  \"pace\": { \"reread_every_s\": 3600, \"stale_after_s\": 7200, \"tries\": 1 },"
    "  \"counts\": { \"input\": 2, \"mix\": 32, \"mix.spectrum.band\": 100 },"
    "  \"spectrum\": { \"per_second\": 20, \"lowest_hz\": 20.7, \"highest_hz\": 19300 },"
    "  \"values\": ["
    "    { \"at\": \"/in/{input}/head/gain\", \"is\": \"input.preamp_gain\" },"
    "    { \"answer\": [\"/mix/{mix}/spectrum\", { \"blob\": \"int16be\", \"each\": \"band\","
    "       \"is\": \"mix.spectrum.band.level\", \"law\": { \"times\": 0.004 } }] } ] }";

struct receiver {
    const char *name;
    struct sockaddr_in address;
    int desk, fd; /* fd: of the bare loop */
    struct loop *loop;
    struct stand *stand; /* its clock, where the rule decides by it; NULL: the system's */
    struct link *link;
    struct engine *engine;
    uint64_t wanted;
    int64_t cpu_ns, frames;
};

/* ---- frames ---- */

static struct rig_datagram frames[MIXES][VARIANTS];

static void
make_frame(struct rig_datagram *datagram, int mix, int variant, unsigned *dice)
{
    char address[24] = {0};
    int length = snprintf(address, sizeof address, "/mix/%d/spectrum", mix + 1) / 4 * 4 + 4;
    uint8_t *at = datagram->bytes + length;

    memcpy(datagram->bytes, address, (size_t)length);
    memcpy(at, ",b\0\0\0\0\0\xC8", 8);
    at += 8;
    for (int i = 0; i < BANDS; i++, at += 2) {
        int number = -250 * (45 + i / 4) + (int)((*dice = *dice * 1103515245 + 12345) >> 16) % 1500;

        if (i == TONE)
            number = -250 * 20 - 125 * abs(variant - VARIANTS / 2);
        at[0] = (uint8_t)((unsigned)number >> 8);
        at[1] = (uint8_t)number;
    }
    datagram->length = (size_t)(at - datagram->bytes);
}

static void
send_frames(const struct receiver *receiver, unsigned serial, unsigned count)
{
    for (unsigned i = 0; i < count; i++) {
        const struct rig_datagram *frame =
            &frames[(serial + i) % MIXES][(serial + i) / MIXES % VARIANTS];

        if (sendto(receiver->desk, frame->bytes, frame->length, 0,
                   (const struct sockaddr *)&receiver->address, sizeof receiver->address) < 0) {
            perror("bench: sendto");
            exit(2);
        }
    }
}

/* ---- receiving ---- */

static void
drain_bare(struct receiver *receiver, int count)
{
    static uint8_t bytes[64][RIG_DATAGRAM];
    struct mmsghdr headers[64];
    struct iovec parts[64];

    for (int i = 0; i < 64; i++) {
        parts[i] = (struct iovec){bytes[i], RIG_DATAGRAM};
        headers[i] = (struct mmsghdr){.msg_hdr = {.msg_iov = &parts[i], .msg_iovlen = 1}};
    }
    for (int met = 0; met < count;) {
        int got = recvmmsg(receiver->fd, headers, 64, MSG_WAITFORONE, NULL);

        met += got > 0 ? got : 0;
    }
}

static void
ignore_state(void *context, enum link_state from, enum link_state to, const char *why)
{
    (void)context;
    (void)from;
    (void)to;
    (void)why;
}

static void
on_before_sleep(void *context)
{
    struct receiver *receiver = context;

    if (receiver->stand) {
        while (stand_next_ms(receiver->stand) <= stand_now_ms(receiver->stand))
            stand_fire(receiver->stand);
        engine_run(receiver->engine, stand_now_ms(receiver->stand), NULL, NULL);
    }
    if (link_figures(receiver->link).taken >= receiver->wanted)
        loop_stop(receiver->loop);
}

static void
drain(struct receiver *receiver, unsigned count)
{
    int64_t before = rig_cpu_ns();

    if (receiver->link) {
        receiver->wanted = link_figures(receiver->link).taken + count;
        loop_run(receiver->loop);
    } else {
        drain_bare(receiver, (int)count);
    }
    receiver->cpu_ns += rig_cpu_ns() - before;
    receiver->frames += count;
}

/* A burst, or, with the rule, a frame of each mix after the other, as a desk sends them. */
static void
take_turn(struct receiver *receiver, unsigned serial)
{
    unsigned count = receiver->stand ? MIXES : BURST;

    for (unsigned i = 0; i < BURST; i += count) {
        int64_t now_ms = receiver->stand ? stand_now_ms(receiver->stand) + 1000 / RATE : 0;

        if (receiver->stand)
            stand_move(receiver->stand, now_ms, now_ms);
        send_frames(receiver, serial + i, count);
        drain(receiver, count);
    }
}

/* ---- setting up ---- */

static void
open_path(struct receiver *receiver, const struct profile *profile, bool watches)
{
    const struct spectrum_bands bands = {BANDS, profile->spectrum.lowest_hz,
                                         profile->spectrum.highest_hz};
    socklen_t size = sizeof receiver->address;
    struct sockaddr_in desk_address;
    uint8_t question[RIG_DATAGRAM];

    receiver->desk = rig_socket(&desk_address);
    receiver->stand = watches ? stand_new() : NULL;
    receiver->loop = watches ? loop_new_standing(receiver->stand) : loop_new();
    receiver->engine =
        engine_new(profile_desk(profile), check_set_show(check_set_all, 2, MIXES), check_set_all);
    if (watches) {
        engine_remember(receiver->engine);
        engine_watch_spectra(receiver->engine, &bands, profile->spectrum.per_second);
    }
    receiver->link =
        link_open(receiver->loop, profile, receiver->engine, "127.0.0.1",
                  ntohs(desk_address.sin_port), (struct link_owner){.changed = ignore_state});
    loop_before_sleep(receiver->loop, on_before_sleep, receiver);
    receiver->wanted = 0;
    do
        loop_run(receiver->loop);
    while (recvfrom(receiver->desk, question, sizeof question, MSG_DONTWAIT,
                    (struct sockaddr *)&receiver->address, &size) < 0);
}

static void
close_path(struct receiver *receiver)
{
    link_close(receiver->link);
    engine_free(receiver->engine);
    loop_free(receiver->loop);
    stand_free(receiver->stand);
}

/* ---- measuring ---- */

static void
measure(struct receiver *receivers, int count)
{
    unsigned serial = 0;

    for (int round = -WARM_UP; round < ROUNDS; round++, serial += BURST)
        for (int i = 0; i < count; i++) {
            if (round == 0)
                receivers[i].cpu_ns = receivers[i].frames = 0;
            take_turn(&receivers[i], serial);
        }
}

static void
print(const struct receiver *receivers, int count)
{
    double bare = (double)receivers[0].cpu_ns / (double)receivers[0].frames;

    for (int i = 0; i < count; i++) {
        double ns = (double)receivers[i].cpu_ns / (double)receivers[i].frames;

        printf("  %-44s %6.0f ns a frame; %5.2f x (a); %5.2f %% of a core\n", receivers[i].name, ns,
               ns / bare, ns * MIXES * RATE / 1e7);
    }
}

int
main(void)
{
    struct problems problems = {0};
    struct json *json = json_parse(profile_text, strlen(profile_text), "bench", &problems);
    struct profile *profile = json ? profile_from_json(json, "bench", &problems) : NULL;
    struct sockaddr_in plain;
    struct receiver receivers[] = {{.name = "(a) recvmmsg, counts only"},
                                   {.name = "(b) gainwarden, socket to numbers"},
                                   {.name = "(c) gainwarden, and the rule for rings"}};
    unsigned dice = 1;
    int room = ROOM;

    problems_print(&problems, stderr);
    if (!profile)
        return 2;
    profile->agreed = true; /* with ourselves */
    alarm(LONGEST_S);
    for (int mix = 0; mix < MIXES; mix++)
        for (int i = 0; i < VARIANTS; i++)
            make_frame(&frames[mix][i], mix, i, &dice);
    receivers[0].fd = rig_socket(&receivers[0].address);
    setsockopt(receivers[0].fd, SOL_SOCKET, SO_RCVBUF, &room, sizeof room);
    receivers[0].desk = rig_socket(&plain);
    open_path(&receivers[1], profile, false);
    open_path(&receivers[2], profile, true);
    measure(receivers, 3);
    printf("%d mixes x %d bands x %d frames a second\n", MIXES, BANDS, RATE);
    print(receivers, 3);
    close_path(&receivers[1]);
    close_path(&receivers[2]);
    profile_free(profile);
    json_free(json);
    problems_release(&problems);
    return 0;
}
