#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "base/columns.h"
#include "base/options.h"
#include "base/output.h"
#include "base/problems.h"

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

    fprintf(stderr, "gainwarden: unknown command \"%s\"%s\nTry `gainwarden --help`.\n", word,
            where_nearest(word, name_at, NULL, (size_t)command_count, nearest));
    return EXIT_USAGE;
}

static int
run(int argc, char **argv)
{
    struct options options;
    int status;

    if (argc < 2) {
        options_print_help(stderr);
        return EXIT_USAGE;
    }
    if (strcmp(argv[1], "--help") == 0) {
        options_print_help(stdout);
        return EXIT_CLEAN;
    }
    if (strcmp(argv[1], "--version") == 0) {
        puts("gainwarden " GAINWARDEN_VERSION);
        return EXIT_CLEAN;
    }
    for (int i = 0; i < command_count; i++)
        if (strcmp(commands[i].name, argv[1]) == 0)
            return options_read(&commands[i], argc - 1, argv + 1, &options, &status)
                       ? commands[i].run(&options)
                       : status;
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

    hold_standard_streams();
    columns_set_locale();
    /* a closed pipe is met as an error of the write, and told */
    signal(SIGPIPE, SIG_IGN);
    signal(SIGXFSZ, SIG_IGN); /* and so is a file that may not grow */
    status = run(argc, argv);
    return output_finish() ? status : EXIT_USAGE;
}
