/* SPDX-License-Identifier: MIT */
/* What was received, one JSON object a line, each line out before the answer goes. */
#ifndef MOCK_CHAT_RECORD_H
#define MOCK_CHAT_RECORD_H

#include <stddef.h>
#include <stdio.h>

struct request {
    const char *method;
    const char *path;
    const char *content_type; /* NULL: the header was absent */
    const char *identity;     /* header Idempotency-Key; NULL: none */
    const char *body;         /* `body_size` bytes of anything */
    size_t body_size;
};

/* The caller keeps two threads from writing at once. */
void record_add(FILE *file, const struct request *request);

#endif
