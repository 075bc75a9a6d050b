/* SPDX-License-Identifier: MIT */
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "base/columns.h"
#include "base/json.h"
#include "base/no_memory.h"
#include "base/output.h"
#include "base/where.h"
#include "command/table.h"

static const char *
name_at(const void *context, size_t i)
{
    (void)context;
    return commands[i].name;
}

static int
refuse(const char *word)
{
    char nearest[100];
    size_t count = 0;

    while (commands[count].name)
        count++;
    fprintf(stderr, "gainwarden: unknown command \"%s\"%s\nTry `gainwarden --help`.\n", word,
            where_nearest(word, name_at, NULL, count, nearest));
    return EXIT_USAGE;
}

static int
run_command(const struct command *command, int argc, char **argv)
{
    struct options options;
    int status;

    if (!options_read(command, argc, argv, &options, &status))
        return status;
    options.commands = commands;
    return command->run(&options);
}

static int
run(int argc, char **argv)
{
    if (argc < 2) {
        commands_print_help(stderr);
        return EXIT_USAGE;
    }
    if (strcmp(argv[1], "--help") == 0) {
        commands_print_help(stdout);
        return EXIT_CLEAN;
    }
    if (strcmp(argv[1], "--version") == 0) {
        puts("gainwarden " GAINWARDEN_VERSION);
        return EXIT_CLEAN;
    }
    for (const struct command *command = commands; command->name; command++)
        if (strcmp(command->name, argv[1]) == 0)
            return run_command(command, argc - 1, argv + 1);
    return refuse(argv[1]);
}

/* A program started with a closed standard stream would give its number to the next file or socket.
 * Opened for reading, a closed output still fails when it is written to, and that is told. */
static void
hold_standard_streams(void)
{
    int fd;

    do
        fd = open("/dev/null", O_RDONLY);
    while (fd >= 0 && fd <= STDERR_FILENO);
    if (fd > STDERR_FILENO)
        close(fd);
}

int
main(int argc, char **argv)
{
    int status;

    no_memory_init();
    json_init();
    hold_standard_streams();
    columns_set_locale();
    /* a closed pipe is met as an error of the write, and told */
    signal(SIGPIPE, SIG_IGN);
    signal(SIGXFSZ, SIG_IGN); /* and so is a file that may not grow */
    status = run(argc, argv);
    return output_finish() ? status : EXIT_USAGE;
}
