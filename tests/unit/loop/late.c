/* SPDX-License-Identifier: MIT */
/* A program that is stopped, as by Ctrl-Z or with its computer, and goes on: what came meanwhile is
 * read before a timer that was due meanwhile fires. */
#include <signal.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "loop/loop.h"
#include "unit.h"

struct stopped {
    struct loop *loop;
    struct loop_poll *poll;
    int end; /* of a pipe */
    int fired;
    int unread; /* bytes that waited when it first fired */
    int fires;  /* so often, then it is over */
};

static void
sleep_ms(long ms)
{
    nanosleep(&(struct timespec){ms / 1000, ms % 1000 * 1000000}, NULL);
}

/* In a process of its own: stops the other, writes a byte, and lets it go on. */
static pid_t
stop_for(int end, long ms)
{
    pid_t other = getpid(), own = fork();

    if (own != 0)
        return own;
    sleep_ms(100); /* it sleeps in its loop */
    kill(other, SIGSTOP);
    sleep_ms(100); /* and is stopped */
    (void)!write(end, "x", 1);
    sleep_ms(ms);
    kill(other, SIGCONT);
    _exit(0);
}

static void
on_readable(void *context, bool readable, bool writable)
{
    struct stopped *stopped = context;
    char byte;

    (void)readable;
    (void)writable;
    (void)!read(stopped->end, &byte, 1);
}

static void
on_due(void *context)
{
    struct stopped *stopped = context;

    if (stopped->fired++ == 0)
        ioctl(stopped->end, FIONREAD, &stopped->unread);
    if (stopped->fired == stopped->fires)
        loop_stop(stopped->loop);
}

static void
run_stopped(struct stopped *stopped, int64_t after_ms, int64_t repeat_ms)
{
    struct loop_timer *timer;
    int ends[2];
    pid_t stopper;

    stopped->loop = loop_new();
    assert_int_equal(pipe(ends), 0);
    stopped->end = ends[0];
    stopped->poll = loop_poll_open(stopped->loop, ends[0], on_readable, stopped);
    loop_poll_want(stopped->poll, true, false);
    timer = loop_timer_open(stopped->loop, on_due, stopped);
    stopper = stop_for(ends[1], 600);
    loop_timer_start(timer, after_ms, repeat_ms);
    loop_run(stopped->loop);
    assert_true(waitpid(stopper, NULL, 0) == stopper);
    loop_timer_close(timer);
    loop_poll_close(stopped->poll);
    loop_free(stopped->loop);
    close(ends[0]);
    close(ends[1]);
}

static void
test_what_came_is_read_before_a_timer_fires(void **unused)
{
    struct stopped stopped = {.unread = -1, .fires = 1};

    (void)unused;
    run_stopped(&stopped, 400, 0);
    assert_int_equal(stopped.unread, 0);
    assert_int_equal(stopped.fired, 1);
}

static void
test_one_that_repeats_goes_on(void **unused)
{
    struct stopped stopped = {.unread = -1, .fires = 3};

    (void)unused;
    run_stopped(&stopped, 400, 20);
    assert_int_equal(stopped.unread, 0);
    assert_int_equal(stopped.fired, 3);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_what_came_is_read_before_a_timer_fires),
        cmocka_unit_test(test_one_that_repeats_goes_on),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
