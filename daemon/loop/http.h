/* SPDX-License-Identifier: MIT */
/* The only file that knows libcurl: one POST at a time, on the loop, never blocking it.
 *
 * The address is a secret. It is never printed, and neither is anything libcurl says that could
 * hold a part of it: errors are told by their general names only.
 */
#ifndef GAINWARDEN_HTTP_H
#define GAINWARDEN_HTTP_H

#include <stdbool.h>

#include "loop/loop.h"

struct http;

struct http_result {
    int status;         /* of the answer; 0: there was none */
    long retry_after_s; /* what the answer asked for; 0: nothing */
    const char *error;  /* why there was no answer; a constant text */
    bool distrusted;    /* because the certificate is signed by nobody we trust */
};

typedef void http_fn(void *context, const struct http_result *result);

/* `ca_file`: certificates to trust besides the system's, or NULL. */
struct http *http_open(struct loop *loop, const char *ca_file);

/* Ends what is under way without a call to its fn. */
void http_close(struct http *http);

/* Posts a JSON body, which is copied, with its identity in the header Idempotency-Key. Call again
 * only after fn was called. False when it cannot be begun. */
bool http_post(struct http *http, const char *url, const char *body, const char *id, http_fn *fn,
               void *context);

/* Whether the text is an address a POST can go to: http:// or https:// and a host. */
bool http_is_url(const char *text);

#endif
