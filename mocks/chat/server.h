/* SPDX-License-Identifier: MIT */
/* The HTTP server: gathers each request whole, with a limit, and hands it to the chat. */
#ifndef MOCK_CHAT_SERVER_H
#define MOCK_CHAT_SERVER_H

#include "answer.h"

struct MHD_Daemon;

/* PEM texts; both NULL for plain HTTP. They must outlive the server. */
struct credentials {
    char *cert;
    char *key;
};

/* Starts it on 127.0.0.1. NULL after printing "mock-chat: listen: what". */
struct MHD_Daemon *server_start(struct chat *chat, const struct credentials *credentials);

uint16_t server_port(struct MHD_Daemon *server);

#endif
