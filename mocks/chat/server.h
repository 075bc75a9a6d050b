/* The HTTP server: gathers each request whole, with a limit, and hands it to the chat. */
#ifndef MOCK_CHAT_SERVER_H
#define MOCK_CHAT_SERVER_H

#include "answer.h"

struct MHD_Daemon;

/* PEM texts; both NULL for plain HTTP. They must outlive the server. */
struct Credentials {
    char *cert;
    char *key;
};

/* Starts it on 127.0.0.1. NULL after printing "mock-chat: listen: what". */
struct MHD_Daemon *Server_start(struct Chat *chat, const struct Credentials *credentials);

uint16_t Server_port(struct MHD_Daemon *server);

#endif
