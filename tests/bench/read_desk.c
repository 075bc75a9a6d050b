/* SPDX-License-Identifier: MIT */
/* How long it takes to read 6,000 values from mock-desk over real sockets, against
 *   (a) one question at a time, the way a script would,
 *   (b) a blast of all questions at once, without pacing (until the last answer that came),
 *   (c) the desk's own pace: values / its service rate.
 * Ours is the production path: link.h, from the first question to the end of the reading. Each line
 * says how many values were missing. The middle of RUNS runs counts.
 */
#include <arpa/inet.h>
#include <errno.h>
#include <poll.h>
#include <sched.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "desk/show.h"
#include "engine/engine.h"
#include "link/link.h"
#include "loop/loop.h"
#include "profile/profile.h"

enum { INPUTS = 120, MIXES = 50, VALUES = INPUTS * MIXES, RUNS = 5, DATAGRAM = 64 };

struct result {
    double ms;
    int missing;
};

/* ---- the desk ---- */

struct mock {
    pid_t id;
    int port;
};

static char folder[] = "/tmp/gainwarden-bench-XXXXXX";

static void
write_file(const char *name, const char *text)
{
    char path[200];
    FILE *file;

    snprintf(path, sizeof path, "%s/%s", folder, name);
    file = fopen(path, "w");
    if (!file || fputs(text, file) < 0 || fclose(file) != 0)
        abort();
}

static void
write_files(void)
{
    char state[20000], *at = state;

    if (!mkdtemp(folder))
        abort();
    at += sprintf(
        at, "{ \"desk_state\": 1, \"counts\": { \"inputs\": %d, \"mixes\": %d }, \"inputs\": [",
        INPUTS, MIXES);
    for (int i = 0; i < INPUTS; i++)
        at += sprintf(at, "%s{ \"name\": \"In %d\" }", i > 0 ? ", " : "", i + 1);
    at += sprintf(at, "], \"mixes\": [");
    for (int i = 0; i < MIXES; i++)
        at += sprintf(at, "%s{ \"name\": \"Wedge %d\" }", i > 0 ? ", " : "", i + 1);
    sprintf(at, "] }");
    write_file("state.json", state);
    write_file("profile.json",
               "{ \"profile_format\": 1, \"desk\": \"Bench\", \"link\": { \"transport\": \"udp\", "
               "\"port\": 9100 }, \"pace\": { \"in_flight\": 4096, \"per_second\": 1000000, "
               "\"answer_within_ms\": 1000 }, \"counts\": { \"input\": 120, \"mix\": 50 }, "
               "\"laws\": { \"fader\": { \"line\": [[0, \"-inf\"], [0.04, -70], [0.35, -25], "
               "[0.7, 0], [1, 10]] } }, \"values\": [ { \"at\": \"/in/{input}/to/{mix}/level\", "
               "\"is\": \"send.level\", \"law\": \"fader\" } ] }");
}

/* Desk and reader each have a processor of their own, where there are two: else the kernel often
 * puts both on one, and nobody can be faster than one question at a time. */
static void
stay_on(size_t processor)
{
    cpu_set_t set;

    CPU_ZERO(&set);
    CPU_SET(processor, &set);
    sched_setaffinity(0, sizeof set, &set);
}

/* Starts mock-desk with the switches, up to NULL. */
static struct mock
start_mock(const char *program, const char *const switches[])
{
    char state[200], line[200];
    const char *words[20] = {program, "--state", state, "--port", "0"};
    struct mock mock;
    int ends[2], count = 5;
    FILE *out;

    snprintf(state, sizeof state, "%s/state.json", folder);
    while (*switches)
        words[count++] = *switches++;
    words[count] = NULL;
    if (pipe(ends) != 0)
        abort();
    mock.id = fork();
    if (mock.id == 0) {
        stay_on(1);
        dup2(ends[1], STDOUT_FILENO);
        close(ends[0]);
        execv(program, (char *const *)words);
        _exit(127);
    }
    close(ends[1]);
    out = fdopen(ends[0], "r");
    if (!out || !fgets(line, sizeof line, out) || !strrchr(line, ':')) {
        fprintf(stderr, "bench: %s did not start\n", program);
        exit(1);
    }
    mock.port = atoi(strrchr(line, ':') + 1);
    fclose(out);
    return mock;
}

static void
stop_mock(struct mock mock)
{
    kill(mock.id, SIGTERM);
    waitpid(mock.id, NULL, 0);
}

/* ---- plain peers ---- */

static double
now_ms(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static int
connect_to(int port)
{
    struct sockaddr_in desk = {.sin_family = AF_INET,
                               .sin_port = htons((uint16_t)port),
                               .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    int fd = socket(AF_INET, SOCK_DGRAM, 0), size = 4 << 20;

    setsockopt(fd, SOL_SOCKET, SO_RCVBUF, &size, sizeof size);
    if (connect(fd, (const struct sockaddr *)&desk, sizeof desk) != 0)
        abort();
    return fd;
}

/* The question for a value; its length. */
static size_t
question(int value, char bytes[DATAGRAM])
{
    size_t length;

    memset(bytes, 0, DATAGRAM);
    length = (size_t)snprintf(bytes, DATAGRAM, "/in/%d/to/%d/level", value / MIXES + 1,
                              value % MIXES + 1);
    length = (length / 4 + 1) * 4;
    bytes[length] = ',';
    return length + 4;
}

static bool
wait_for(int fd, int ms)
{
    struct pollfd poll_fd = {fd, POLLIN, 0};

    return poll(&poll_fd, 1, ms) > 0;
}

/* (a): `count` of the values, scaled to all of them. */
static struct result
one_at_a_time(int port, int count)
{
    int fd = connect_to(port);
    double begun_ms = now_ms();
    struct result result = {0, 0};
    char bytes[DATAGRAM], answer[2048];

    for (int value = 0; value < count; value++) {
        bool came = false;

        for (int tries = 0; tries < 5 && !came; tries++) {
            if (send(fd, bytes, question(value, bytes), 0) < 0)
                continue;
            came = wait_for(fd, 300) && recv(fd, answer, sizeof answer, 0) > 0;
        }
        result.missing += !came;
    }
    result.ms = (now_ms() - begun_ms) * VALUES / count;
    close(fd);
    return result;
}

/* (b) */
static struct result
blast(int port)
{
    int fd = connect_to(port), came = 0;
    double begun_ms = now_ms(), last_ms = begun_ms;
    char bytes[DATAGRAM], answer[2048];

    for (int value = 0; value < VALUES; value++)
        if (send(fd, bytes, question(value, bytes), 0) < 0 && errno == EAGAIN)
            value--;
    while (wait_for(fd, 500) && recv(fd, answer, sizeof answer, 0) > 0) {
        came++;
        last_ms = now_ms();
    }
    close(fd);
    return (struct result){last_ms - begun_ms, VALUES - came};
}

/* ---- ours ---- */

struct reading {
    struct loop *loop;
    double begun_ms, done_ms;
};

static void
on_state(void *context, enum link_state from, enum link_state to, const char *why)
{
    struct reading *reading = context;

    (void)from;
    (void)why;
    if (to == LINK_READING)
        reading->begun_ms = now_ms();
    if (to == LINK_STEADY || to == LINK_LOST) {
        reading->done_ms = now_ms();
        loop_stop(reading->loop);
    }
}

static struct result
ours(int port)
{
    struct problems problems = {0};
    struct reading reading = {.loop = loop_new()};
    struct profile *profile;
    struct engine *engine;
    struct link *link;
    struct link_figures figures;
    char path[200];

    snprintf(path, sizeof path, "%s/profile.json", folder);
    profile = profile_load(path, NULL, &problems);
    if (profile)
        profile->agreed = true; /* with ourselves */
    problems_print(&problems, stderr);
    problems_release(&problems);
    engine = engine_new(profile_desk(profile), check_set_show(check_set_all, INPUTS, MIXES),
                        check_set_all);
    link = link_open(reading.loop, profile, engine, "127.0.0.1", port,
                     (struct link_owner){.changed = on_state, .context = &reading});
    loop_run(reading.loop);
    figures = link_figures(link);
    link_close(link);
    loop_free(reading.loop);
    engine_free(engine);
    profile_free(profile);
    return (struct result){reading.done_ms - reading.begun_ms,
                           VALUES - (int)figures.questions.heard};
}

/* ---- the middle of several runs ---- */

static int
by_time(const void *one, const void *other)
{
    double a = ((const struct result *)one)->ms, b = ((const struct result *)other)->ms;

    return (a > b) - (a < b);
}

enum way { WAY_SINGLE, WAY_BLAST, WAY_OURS };

static struct result
measure(const char *program, const char *const switches[], enum way way, int count, int runs)
{
    struct result results[RUNS];

    for (int i = 0; i < runs; i++) {
        struct mock mock = start_mock(program, switches);

        results[i] = way == WAY_SINGLE  ? one_at_a_time(mock.port, count)
                     : way == WAY_BLAST ? blast(mock.port)
                                        : ours(mock.port);
        stop_mock(mock);
    }
    qsort(results, (size_t)runs, sizeof *results, by_time);
    return results[runs / 2];
}

static void
print(const char *what, struct result result, double peer_ms, const char *peer)
{
    printf("  %-52s %9.1f ms, %4d of %d missing", what, result.ms, result.missing, VALUES);
    if (peer)
        printf(";  %6.2f x %s", result.ms / peer_ms, peer);
    putchar('\n');
    fflush(stdout);
}

int
main(int argc, char **argv)
{
    /* a buffer that holds every question, so that (b) loses nothing and is a fair peer */
    static const char *const fast[] = {"--receive-buffer", "16777216", NULL};
    static const char *const far[] = {"--delay", "20", NULL};
    static const char *const slow[] = {"--answers-per-second", "2000", "--receive-buffer", "8192",
                                       NULL};
    static const char *const lossy[] = {
        "--answers-per-second", "2000", "--receive-buffer", "8192", "--drop", "0.2", NULL};
    const double own_ms = VALUES / 2000.0 * 1000;
    struct result single, blasted, read;

    if (argc != 2) {
        fputs("usage: read_desk MOCK-DESK\n", stderr);
        return 2;
    }
    write_files();
    stay_on(0);
    puts("a fast desk on loopback");
    single = measure(argv[1], fast, WAY_SINGLE, VALUES, RUNS);
    print("(a) one question at a time", single, 0, NULL);
    blasted = measure(argv[1], fast, WAY_BLAST, 0, RUNS);
    print("(b) all questions at once", blasted, 0, NULL);
    read = measure(argv[1], fast, WAY_OURS, 0, RUNS);
    print("gainwarden", read, blasted.ms, "(b)");
    printf("  (a) is %.1f x gainwarden\n", single.ms / read.ms);
    puts("the same with 10 ms of delay each way");
    single = measure(argv[1], far, WAY_SINGLE, 100, 1);
    print("(a) one at a time (100 values, scaled)", single, 0, NULL);
    read = measure(argv[1], far, WAY_OURS, 0, RUNS);
    print("gainwarden", read, single.ms, "(a)");
    printf("  (a) is %.1f x gainwarden\n", single.ms / read.ms);
    printf("2,000 answers a second and an 8 KB receive buffer; (c) is %.0f ms\n", own_ms);
    print("(a) one question at a time", measure(argv[1], slow, WAY_SINGLE, VALUES, 1), own_ms,
          "(c)");
    print("(b) all questions at once", measure(argv[1], slow, WAY_BLAST, 0, 1), own_ms, "(c)");
    print("gainwarden", measure(argv[1], slow, WAY_OURS, 0, 3), own_ms, "(c)");
    puts("the same, and a fifth of the answers lost: 1.25 x (c) is the least there is");
    print("gainwarden", measure(argv[1], lossy, WAY_OURS, 0, 3), own_ms, "(c)");
    return 0;
}
