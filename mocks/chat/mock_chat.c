/* SPDX-License-Identifier: MIT */
/* mock-chat: receives what the program under test would tell a chat room, and keeps it. */
#include <errno.h>
#include <microhttpd.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "answer.h"
#include "options.h"
#include "server.h"

enum { PEM_LIMIT = 256 * 1024 };

static void
complain(const char *file, const char *what)
{
    fprintf(stderr, "mock-chat: %s: %s\n", file, what);
}

/* The whole file as a text, to be freed; NULL after a complaint. */
static char *
read_pem(const char *file)
{
    FILE *stream = fopen(file, "rb");
    char *text = calloc(PEM_LIMIT + 1, 1);

    if (stream && text && fread(text, 1, PEM_LIMIT, stream) > 0) {
        fclose(stream);
        return text;
    }
    complain(file, !stream ? strerror(errno) : "cannot be read");
    if (stream)
        fclose(stream);
    free(text);
    return NULL;
}

static bool
read_credentials(const struct options *options, struct credentials *credentials)
{
    if (!options->cert_file)
        return true;
    credentials->cert = read_pem(options->cert_file);
    credentials->key = read_pem(options->key_file);
    return credentials->cert && credentials->key;
}

/* Before any thread starts, so that all of them leave the signals to main(). */
static void
block_signals(sigset_t *awaited)
{
    sigemptyset(awaited);
    sigaddset(awaited, SIGINT);
    sigaddset(awaited, SIGTERM);
    pthread_sigmask(SIG_BLOCK, awaited, NULL);
    signal(SIGPIPE, SIG_IGN);
}

static bool
serve(struct chat *chat, const struct credentials *credentials)
{
    struct MHD_Daemon *server;
    sigset_t awaited;
    int caught;

    block_signals(&awaited);
    server = server_start(chat, credentials);
    if (!server)
        return false;
    printf("mock-chat: listening on %s://127.0.0.1:%u/\n", credentials->cert ? "https" : "http",
           (unsigned)server_port(server));
    fflush(stdout);
    sigwait(&awaited, &caught);
    chat_stop(chat);
    MHD_stop_daemon(server);
    return true;
}

static bool
open_and_serve(const struct options *options, struct credentials *credentials)
{
    FILE *record = NULL;
    struct chat chat;
    bool served;

    if (!read_credentials(options, credentials))
        return false;
    if (options->record_file && (record = fopen(options->record_file, "w")) == NULL) {
        complain(options->record_file, strerror(errno));
        return false;
    }
    chat_init(&chat, options, record);
    served = serve(&chat, credentials);
    chat_release(&chat);
    if (record)
        fclose(record);
    return served;
}

int
main(int argc, char **argv)
{
    struct credentials credentials = {NULL, NULL};
    struct options options;
    enum options_result read = options_read(&options, argc, argv);
    bool served;

    if (read != OPTIONS_RUN)
        return read == OPTIONS_HELPED ? 0 : 2;
    served = open_and_serve(&options, &credentials);
    free(credentials.cert);
    free(credentials.key);
    return served ? 0 : 2;
}
