/* SPDX-License-Identifier: MIT */
#include "server.h"

#include <arpa/inet.h>
#include <errno.h>
#include <microhttpd.h>
#include <netinet/in.h>
#include <stdlib.h>
#include <string.h>

enum { BODY_LIMIT = 1024 * 1024 };

struct body {
    char *bytes;
    size_t size;
    bool too_large;
};

static void
add_to_body(struct body *body, const char *bytes, size_t size)
{
    char *grown = NULL;

    if (!body->too_large && size <= BODY_LIMIT - body->size)
        grown = realloc(body->bytes, body->size + size);
    if (!grown) {
        body->too_large = true;
        return;
    }
    memcpy(grown + body->size, bytes, size);
    body->bytes = grown;
    body->size += size;
}

static enum MHD_Result
send_answer(struct MHD_Connection *connection, struct answer answer)
{
    struct MHD_Response *response;
    enum MHD_Result queued;

    if (answer.close)
        return MHD_NO; /* the library then drops the connection */
    response = MHD_create_response_from_buffer(0, NULL, MHD_RESPMEM_PERSISTENT);
    if (!response)
        return MHD_NO;
    if (answer.retry_after)
        (void)MHD_add_response_header(response, "Retry-After", answer.retry_after);
    queued = MHD_queue_response(connection, answer.status, response);
    MHD_destroy_response(response);
    return queued;
}

static enum MHD_Result
meet(struct chat *chat, struct MHD_Connection *connection, const char *path, const char *method,
     const struct body *body)
{
    struct request request = {
        .method = method,
        .path = path,
        .content_type = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Content-Type"),
        .identity = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Idempotency-Key"),
        .body = body->bytes ? body->bytes : "",
        .body_size = body->size,
    };

    if (body->too_large)
        return send_answer(connection, (struct answer){.status = 413});
    return send_answer(connection, chat_meet(chat, &request));
}

/* Called once for the head, once per piece of the body, and once more at the end. */
static enum MHD_Result
on_request(void *context, struct MHD_Connection *connection, const char *path, const char *method,
           const char *version, const char *piece, size_t *piece_size, void **own)
{
    (void)version;
    if (!*own) {
        *own = calloc(1, sizeof(struct body));
        return *own ? MHD_YES : MHD_NO;
    }
    if (*piece_size == 0)
        return meet(context, connection, path, method, *own);
    add_to_body(*own, piece, *piece_size);
    *piece_size = 0;
    return MHD_YES;
}

static void
on_completed(void *context, struct MHD_Connection *connection, void **own,
             enum MHD_RequestTerminationCode code)
{
    struct body *body = *own;

    (void)context;
    (void)connection;
    (void)code;
    if (body)
        free(body->bytes);
    free(body);
    *own = NULL;
}

struct MHD_Daemon *
server_start(struct chat *chat, const struct credentials *credentials)
{
    struct sockaddr_in where = {.sin_family = AF_INET, .sin_port = htons(chat->options->port)};
    bool tls = credentials->cert != NULL;
    unsigned flags =
        MHD_USE_INTERNAL_POLLING_THREAD | MHD_USE_THREAD_PER_CONNECTION | (tls ? MHD_USE_TLS : 0u);
    struct MHD_OptionItem more[] = {
        {tls ? MHD_OPTION_HTTPS_MEM_CERT : MHD_OPTION_END, 0, credentials->cert},
        {MHD_OPTION_HTTPS_MEM_KEY, 0, credentials->key},
        {MHD_OPTION_END, 0, NULL},
    };
    struct MHD_Daemon *server;

    where.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    errno = 0;
    server = MHD_start_daemon(flags, 0, NULL, NULL, on_request, chat, MHD_OPTION_SOCK_ADDR, &where,
                              MHD_OPTION_NOTIFY_COMPLETED, on_completed, NULL, MHD_OPTION_ARRAY,
                              more, MHD_OPTION_END);
    if (!server)
        fprintf(stderr, "mock-chat: listen: %s\n",
                errno != 0 ? strerror(errno) : "certificate or key is of no use");
    return server;
}

uint16_t
server_port(struct MHD_Daemon *server)
{
    const union MHD_DaemonInfo *info = MHD_get_daemon_info(server, MHD_DAEMON_INFO_BIND_PORT);

    return info ? info->port : 0;
}
