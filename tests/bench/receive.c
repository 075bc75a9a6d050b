/* SPDX-License-Identifier: MIT */
/* CPU per received message of the whole path, socket to desk model to marked checks, beside
 *   (a) a bare recvmmsg loop that only counts, and
 *   (b) liblo's own server with one empty handler,
 * in one run, over datagrams of one message and over bundles of 50.
 *
 * A burst that fits any socket buffer is sent, then the CPU clock of this thread runs only while
 * the receiver drains it. The three take turns, so that whatever else the machine does meets all
 * three.
 */
#include <lo/lo.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "base/json.h"
#include "link/link.h"
#include "loop/loop.h"
#include "profile/profile.h"
#include "rig.h"

/* 208 KiB, a usual largest receive buffer, hold some 270 small datagrams or 90 of a bundle's size.
 */
enum { BURST = 240, BUNDLE_BURST = 64, ROUNDS = 1500, BUNDLE = 50, WARM_UP = 100 };

static const char profile_text[] =
    "{ \"profile_format\": 1, \"desk\": \"bench\","
    "  \"link\": { \"transport\": \"udp\", \"port\": 1 },"
    "  \"pace\": { \"reread_every_s\": 3600, \"stale_after_s\": 7200, \"tries\": 1,"
    "             \"in_flight\": 4096, \"per_second\": 100000 },"
    "  \"counts\": { \"input\": 24, \"mix\": 8, \"input.eq.band\": 4, \"mix.graphic.band\": 31 },"
    "  \"laws\": { \"fader\": { \"line\": [[0, \"-inf\"], [0.04, -70], [0.35, -25], [0.7, 0],"
    "                                  [1, 10]] },"
    "            \"head\": { \"line\": [[0, -4], [1, 56]] } },"
    "  \"values\": ["
    "    { \"at\": \"/in/{input}/head/gain\", \"is\": \"input.preamp_gain\", \"law\": \"head\" },"
    "    { \"at\": \"/mix/{mix}/fader\", \"is\": \"mix.fader\", \"law\": \"fader\" },"
    "    { \"at\": \"/in/{input}/to/{mix}/level\", \"is\": \"send.level\", \"law\": \"fader\" } "
    "],"
    "  \"fixed\": { \"send.tap\": \"pre-fader\", \"input.mute\": false } }";

/* One way to receive: drains what is in its socket and returns when `count` messages were met. */
struct receiver {
    const char *name;
    void (*drain)(struct receiver *receiver, int count);
    struct sockaddr_in address; /* where to send to */
    int desk;                   /* the socket that sends: a path hears only its own desk */
    int fd;
    lo_server server;
    struct loop *loop;
    struct link *link;
    struct engine *engine;
    bool run_checks;
    bool streaming;
    int met;
    uint64_t wanted; /* messages taken by the link */
    int64_t cpu_ns, messages;
};

/* ---- (a) ---- */

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
    while (receiver->met < count) {
        int got = recvmmsg(receiver->fd, headers, 64, MSG_WAITFORONE, NULL);

        receiver->met += got > 0 ? got : 0;
    }
}

/* ---- (b) ---- */

static int
count_one(const char *path, const char *types, lo_arg **values, int count, lo_message message,
          void *context)
{
    (void)path;
    (void)types;
    (void)values;
    (void)count;
    (void)message;
    ((struct receiver *)context)->met++;
    return 0;
}

/* The loop of the library's own server thread. */
static void
drain_liblo(struct receiver *receiver, int count)
{
    while (receiver->met < count)
        lo_server_recv_noblock(receiver->server, 10);
}

/* ---- the whole path ---- */

static void
ignore_state(void *context, enum link_state from, enum link_state to, const char *why)
{
    (void)context;
    (void)from;
    (void)to;
    (void)why;
}

/* A burst is drained once the link has taken as many messages as were sent. */
static void
on_before_sleep(void *context)
{
    struct receiver *receiver = context;

    if (link_figures(receiver->link).taken < receiver->wanted) {
        if (receiver->run_checks && receiver->streaming)
            engine_run(receiver->engine, loop_now_ms(receiver->loop), NULL, NULL);
        return;
    }
    if (receiver->run_checks)
        engine_run(receiver->engine, loop_now_ms(receiver->loop), NULL, NULL);
    loop_stop(receiver->loop);
}

static void
drain_path(struct receiver *receiver, int count)
{
    receiver->wanted = link_figures(receiver->link).taken + (uint64_t)count;
    loop_run(receiver->loop);
}

/* ---- measuring ---- */

static int
burst_size(int bundle)
{
    return bundle > 1 ? BUNDLE_BURST : BURST;
}

static void
send_burst(const struct receiver *receiver, unsigned *serial, int bundle)
{
    static struct rig_datagram datagram;

    for (int i = 0; i < burst_size(bundle); i++) {
        if (bundle > 1)
            rig_bundle(&datagram, *serial, bundle);
        else
            rig_message(&datagram, *serial);
        *serial += (unsigned)bundle;
        if (sendto(receiver->desk, datagram.bytes, datagram.length, 0,
                   (const struct sockaddr *)&receiver->address, sizeof receiver->address) < 0) {
            perror("bench: sendto");
            exit(2);
        }
    }
}

/* ---- streams ---- */

enum { STREAM = 5000, STREAM_GAP_NS = 20000, STREAM_ROUNDS = 8 };

static int64_t
wall_ns(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return now.tv_sec * INT64_C(1000000000) + now.tv_nsec;
}

/* Sends to the receiver at an even pace until it is ended; in a process of its own. */
static pid_t
start_stream(const struct receiver *receiver, int bundle)
{
    static struct rig_datagram datagram;
    pid_t child = fork();
    int64_t next = wall_ns();

    if (child != 0)
        return child;
    for (unsigned serial = 0; serial < 100U * STREAM * BUNDLE; serial += (unsigned)bundle) {
        if (bundle > 1)
            rig_bundle(&datagram, serial, bundle);
        else
            rig_message(&datagram, serial);
        while (wall_ns() < next)
            ;
        next += STREAM_GAP_NS;
        sendto(receiver->desk, datagram.bytes, datagram.length, 0,
               (const struct sockaddr *)&receiver->address, sizeof receiver->address);
    }
    _exit(0);
}

/* Takes a stream of about STREAM datagrams; what comes before and after it is not counted. */
static void
measure_stream(struct receiver *receiver, int bundle)
{
    int unit = receiver->drain == drain_bare ? 1 : bundle;
    pid_t child = start_stream(receiver, bundle);
    int64_t before;

    receiver->met = 0;
    receiver->drain(receiver, WARM_UP * unit);
    receiver->met = 0;
    before = rig_cpu_ns();
    receiver->drain(receiver, STREAM * unit);
    receiver->cpu_ns += rig_cpu_ns() - before;
    receiver->messages += (int64_t)STREAM * bundle;
    kill(child, SIGKILL);
    waitpid(child, NULL, 0);
}

static void
measure_streams(struct receiver *receivers, int count, int bundle)
{
    for (int i = 0; i < count; i++)
        receivers[i].cpu_ns = receivers[i].messages = 0;
    for (int round = 0; round < STREAM_ROUNDS; round++)
        for (int i = 0; i < count; i++) {
            receivers[i].streaming = true;
            measure_stream(&receivers[i], bundle);
            receivers[i].streaming = false;
        }
}

/* ---- bursts ---- */

/* Datagrams for the bare loop, messages for the others. */
static int
burst_count(const struct receiver *receiver, int bundle)
{
    return burst_size(bundle) * (receiver->drain == drain_bare ? 1 : bundle);
}

static void
measure(struct receiver *receivers, int count, int bundle)
{
    unsigned serial = 0;

    for (int i = 0; i < count; i++)
        receivers[i].cpu_ns = receivers[i].messages = 0;
    for (int round = -WARM_UP; round < (bundle > 1 ? ROUNDS / 10 : ROUNDS); round++)
        for (int i = 0; i < count; i++) {
            struct receiver *receiver = &receivers[i];
            int64_t before;

            receiver->met = 0;
            send_burst(receiver, &serial, bundle);
            before = rig_cpu_ns();
            receiver->drain(receiver, burst_count(receiver, bundle));
            if (round < 0)
                continue;
            receiver->cpu_ns += rig_cpu_ns() - before;
            receiver->messages += burst_size(bundle) * bundle;
        }
}

static double
ns_each(const struct receiver *receiver)
{
    return (double)receiver->cpu_ns / (double)receiver->messages;
}

static void
print(const struct receiver *receivers, int count, const char *what)
{
    printf("%s\n", what);
    for (int i = 0; i < count; i++)
        printf("  %-58s %7.0f ns a message; %5.2f x (a), (b) is %5.2f x this\n", receivers[i].name,
               ns_each(&receivers[i]), ns_each(&receivers[i]) / ns_each(&receivers[0]),
               ns_each(&receivers[1]) / ns_each(&receivers[i]));
}

/* ---- setting up ---- */

static void
open_path(struct receiver *receiver, const struct profile *profile)
{
    struct desk *model = profile_desk(profile);
    struct show *show = check_set_show(check_set_all, RIG_INPUTS, RIG_MIXES);
    socklen_t size = sizeof receiver->address;
    struct sockaddr_in desk_address;
    uint8_t question[RIG_DATAGRAM];

    receiver->desk = rig_socket(&desk_address);
    receiver->loop = loop_new();
    receiver->engine = engine_new(model, show, check_set_all);
    receiver->link =
        link_open(receiver->loop, profile, receiver->engine, "127.0.0.1",
                  ntohs(desk_address.sin_port), (struct link_owner){.changed = ignore_state});
    loop_before_sleep(receiver->loop, on_before_sleep, receiver);
    receiver->wanted = 0;
    /* the first questions tell where to send; they are never answered and soon given up */
    do
        loop_run(receiver->loop);
    while (recvfrom(receiver->desk, question, sizeof question, MSG_DONTWAIT,
                    (struct sockaddr *)&receiver->address, &size) < 0);
}

static void
on_lo_error(int number, const char *message, const char *where)
{
    fprintf(stderr, "bench: liblo: %d %s %s\n", number, message, where ? where : "");
}

int
main(void)
{
    struct problems problems = {0};
    struct json *json;
    struct profile *profile;
    struct sockaddr_in plain;
    struct receiver receivers[] = {
        {.name = "(a) recvmmsg, counts only", .drain = drain_bare},
        {.name = "(b) liblo's server, one empty handler", .drain = drain_liblo},
        {.name = "gainwarden, socket to desk model to marked checks", .drain = drain_path},
        {.name = "gainwarden, and the marked checks run", .drain = drain_path, .run_checks = true},
    };
    enum { COUNT = sizeof receivers / sizeof *receivers };

    json = json_parse(profile_text, strlen(profile_text), "bench", &problems);
    profile = json ? profile_from_json(json, "bench", &problems) : NULL;
    problems_print(&problems, stderr);
    if (!profile)
        return 2;
    profile->agreed = true; /* with ourselves */
    receivers[0].fd = rig_socket(&receivers[0].address);
    receivers[1].server = lo_server_new(NULL, on_lo_error);
    lo_server_add_method(receivers[1].server, NULL, NULL, count_one, &receivers[1]);
    receivers[0].desk = receivers[1].desk = rig_socket(&plain);
    receivers[1].address = plain;
    receivers[1].address.sin_port = htons((uint16_t)lo_server_get_port(receivers[1].server));
    open_path(&receivers[2], profile);
    open_path(&receivers[3], profile);

    measure(receivers, COUNT, 1);
    print(receivers, COUNT, "bursts, datagrams of one message");
    measure_streams(receivers, COUNT, 1);
    print(receivers, COUNT, "streams, datagrams of one message");
    measure(receivers, COUNT, BUNDLE);
    print(receivers, COUNT, "bursts, bundles of 50 messages");
    measure_streams(receivers, COUNT, BUNDLE);
    print(receivers, COUNT, "streams, bundles of 50 messages");

    lo_server_free(receivers[1].server);
    for (int i = 2; i < COUNT; i++) {
        link_close(receivers[i].link);
        engine_free(receivers[i].engine);
        loop_free(receivers[i].loop);
    }
    profile_free(profile);
    json_free(json);
    problems_release(&problems);
    return 0;
}
