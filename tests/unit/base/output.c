/* SPDX-License-Identifier: MIT */
/* A line that could not be written is told, with the reason where that can still be found: a terminal
 * holds nothing back, and what failed on it failed long before the end.
 */
#include "base/output.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "unit.h"

static const char refused[] = "gainwarden: cannot write to standard output: ";

/* A line on `out`, held back or not; then `mend` makes room again. */
static void
lose_a_line(int out, int buffered, void (*mend)(void))
{
    static char buffer[100];

    dup2(out, STDOUT_FILENO);
    setvbuf(stdout, buffer, buffered, sizeof buffer);
    puts("a line");
    if (mend)
        mend();
    errno = 0;
}

static int full_pipe[2];

static int
make_full_pipe(void)
{
    assert_int_equal(pipe(full_pipe), 0);
    assert_int_equal(fcntl(full_pipe[0], F_SETFL, O_NONBLOCK), 0);
    assert_int_equal(fcntl(full_pipe[1], F_SETFL, O_NONBLOCK), 0);
    while (write(full_pipe[1], "x", 1) == 1)
        continue;
    return full_pipe[1];
}

static void
drain(void)
{
    char some[4096];

    while (read(full_pipe[0], some, sizeof some) > 0)
        continue;
}

/* What is told on standard error, once, by a process of its own. */
static void
assert_told(int out, int buffered, void (*mend)(void), const char *why)
{
    FILE *err = tmpfile();
    char told[200];
    size_t length;
    int status;
    pid_t child;

    assert_non_null(err);
    fflush(NULL);
    child = fork();
    if (child == 0) {
        dup2(fileno(err), STDERR_FILENO);
        lose_a_line(out, buffered, mend);
        _exit(output_finish() || output_finish());
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(status, 0);
    rewind(err);
    length = fread(told, 1, sizeof told - 1, err);
    told[length] = '\0';
    fclose(err);
    close(out);
    assert_int_equal(strncmp(told, refused, strlen(refused)), 0);
    assert_string_equal(told + strlen(refused), why);
}

static void
test_the_reason_is_told(void **state)
{
    (void)state;
    assert_told(open("/dev/full", O_WRONLY), _IOFBF, NULL, "No space left on device\n");
    assert_told(open("/dev/full", O_WRONLY), _IONBF, NULL, "No space left on device\n");
}

static void
test_a_reader_that_has_gone(void **state)
{
    int ends[2];

    (void)state;
    signal(SIGPIPE, SIG_IGN); /* as the program does */
    assert_int_equal(pipe(ends), 0);
    close(ends[0]);
    assert_told(dup(ends[1]), _IOFBF, NULL, "Broken pipe\n");
    assert_told(ends[1], _IONBF, NULL, "Broken pipe\n");
}

static void
test_a_line_that_was_lost_before(void **state)
{
    (void)state;
    assert_told(make_full_pipe(), _IONBF, drain, "a line before was lost\n");
    close(full_pipe[0]);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_reason_is_told),
        cmocka_unit_test(test_a_reader_that_has_gone),
        cmocka_unit_test(test_a_line_that_was_lost_before),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
