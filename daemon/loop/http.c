/* SPDX-License-Identifier: MIT */
#include "loop/http.h"

#include <ctype.h>
#include <curl/curl.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"

enum { CONNECT_MS = 5000, WHOLE_MS = 10000, LONGEST_WAIT_S = 3600 };

struct http {
    struct loop *loop;
    CURLM *multi;
    CURL *easy;
    struct curl_slist *headers;
    struct loop_timer *timer;
    char *body; /* of the POST under way */
    http_fn *fn;
    void *context;
    bool busy;
};

/* One of libcurl's sockets. */
struct watched {
    struct http *http;
    struct loop_poll *poll;
    curl_socket_t socket;
};

/* Results of a verification (OpenSSL, x509_vfy.h): 18 and 19 signed by itself or by a root that is
 * not ours, 20 and 21 by nobody we know. */
static bool
is_distrusted(CURL *easy)
{
    long verified = 0;

    curl_easy_getinfo(easy, CURLINFO_SSL_VERIFYRESULT, &verified);
    return verified >= 18 && verified <= 21;
}

/* Hands out the result once libcurl says that the POST is done. */
static void
look_for_end(struct http *http)
{
    CURLMsg *message;
    int left;

    while ((message = curl_multi_info_read(http->multi, &left))) {
        struct http_result result = {0};
        long status = 0;
        curl_off_t wait = 0;

        if (message->msg != CURLMSG_DONE)
            continue;
        if (message->data.result == CURLE_OK) {
            curl_easy_getinfo(http->easy, CURLINFO_RESPONSE_CODE, &status);
            curl_easy_getinfo(http->easy, CURLINFO_RETRY_AFTER, &wait);
        } else {
            result.error = curl_easy_strerror(message->data.result);
            result.distrusted = is_distrusted(http->easy);
        }
        result.status = (int)status;
        result.retry_after_s = (long)(wait > LONGEST_WAIT_S ? LONGEST_WAIT_S : wait);
        curl_multi_remove_handle(http->multi, http->easy);
        free(http->body);
        http->body = NULL;
        http->busy = false;
        http->fn(http->context, &result);
        return;
    }
}

static void
act(struct http *http, curl_socket_t socket, int events)
{
    int running;

    curl_multi_socket_action(http->multi, socket, events, &running);
    look_for_end(http);
}

static void
on_timer(void *context)
{
    act(context, CURL_SOCKET_TIMEOUT, 0);
}

static int
want_timer(CURLM *multi, long after_ms, void *context)
{
    struct http *http = context;

    (void)multi;
    if (after_ms < 0)
        loop_timer_stop(http->timer);
    else
        loop_timer_start(http->timer, after_ms < 1 ? 1 : after_ms,
                         0); /* never from inside libcurl */
    return 0;
}

static void
on_poll(void *context, bool readable, bool writable)
{
    struct watched *watched = context;

    act(watched->http, watched->socket,
        (readable ? CURL_CSELECT_IN : 0) | (writable ? CURL_CSELECT_OUT : 0));
}

static int
want_socket(CURL *easy, curl_socket_t socket, int what, void *context, void *known)
{
    struct http *http = context;
    struct watched *watched = known;

    (void)easy;
    if (what == CURL_POLL_REMOVE) {
        if (watched)
            loop_poll_close(watched->poll);
        free(watched);
        curl_multi_assign(http->multi, socket, NULL);
        return 0;
    }
    if (!watched) {
        watched = need_memory(1, sizeof *watched);
        *watched = (struct watched){http, NULL, socket};
        watched->poll = loop_poll_open(http->loop, socket, on_poll, watched);
        if (!watched->poll) {
            free(watched);
            return -1;
        }
        curl_multi_assign(http->multi, socket, watched);
    }
    loop_poll_want(watched->poll, what != CURL_POLL_OUT, what != CURL_POLL_IN);
    return 0;
}

/* What a hook answers in words is of no use here. */
static size_t
drop(char *bytes, size_t size, size_t count, void *context)
{
    (void)bytes;
    (void)context;
    return size * count;
}

static void
set_up(struct http *http, const char *ca_file)
{
    CURL *easy = http->easy;

    curl_multi_setopt(http->multi, CURLMOPT_SOCKETFUNCTION, want_socket);
    curl_multi_setopt(http->multi, CURLMOPT_SOCKETDATA, http);
    curl_multi_setopt(http->multi, CURLMOPT_TIMERFUNCTION, want_timer);
    curl_multi_setopt(http->multi, CURLMOPT_TIMERDATA, http);
    curl_easy_setopt(easy, CURLOPT_PROTOCOLS_STR, "http,https");
    curl_easy_setopt(easy, CURLOPT_FOLLOWLOCATION, 0L); /* the message goes where the user said */
    curl_easy_setopt(easy, CURLOPT_SSL_VERIFYPEER, 1L);
    curl_easy_setopt(easy, CURLOPT_SSL_VERIFYHOST, 2L);
    curl_easy_setopt(easy, CURLOPT_CONNECTTIMEOUT_MS, (long)CONNECT_MS);
    curl_easy_setopt(easy, CURLOPT_TIMEOUT_MS, (long)WHOLE_MS);
    curl_easy_setopt(easy, CURLOPT_NOSIGNAL, 1L);
    curl_easy_setopt(easy, CURLOPT_WRITEFUNCTION, drop);
    curl_easy_setopt(easy, CURLOPT_USERAGENT, "gainwarden/" GAINWARDEN_VERSION);
    if (ca_file)
        curl_easy_setopt(easy, CURLOPT_CAINFO, ca_file);
}

struct http *
http_open(struct loop *loop, const char *ca_file)
{
    struct http *http = need_memory(1, sizeof *http);

    curl_global_init(CURL_GLOBAL_DEFAULT);
    http->loop = loop;
    http->timer = loop_timer_open(loop, on_timer, http);
    http->multi = need_made(curl_multi_init());
    http->easy = need_made(curl_easy_init());
    set_up(http, ca_file);
    return http;
}

void
http_close(struct http *http)
{
    if (!http)
        return;
    if (http->busy)
        curl_multi_remove_handle(http->multi, http->easy);
    curl_easy_cleanup(http->easy);
    curl_multi_cleanup(http->multi); /* calls want_socket for what is still open */
    curl_slist_free_all(http->headers);
    loop_timer_close(http->timer);
    free(http->body);
    free(http);
    curl_global_cleanup();
}

/* The headers of one message. */
static void
set_headers(struct http *http, const char *id)
{
    struct curl_slist *headers =
        need_made(curl_slist_append(NULL, "Content-Type: application/json"));
    char key[100] = "Idempotency-Key: \"";
    size_t used = strlen(key);

    /* a String of RFC 8941, as the draft wants it; an identity read from a file may hold anything
     */
    for (; *id && used < sizeof key - 2; id++)
        key[used++] = isalnum((unsigned char)*id) ? *id : '-';
    strcpy(key + used, "\"");
    headers = need_made(curl_slist_append(headers, key));
    curl_slist_free_all(http->headers);
    http->headers = headers;
    curl_easy_setopt(http->easy, CURLOPT_HTTPHEADER, http->headers);
}

bool
http_post(struct http *http, const char *url, const char *body, const char *id, http_fn *fn,
          void *context)
{
    set_headers(http, id);
    free(http->body); /* of a POST that could not be begun */
    http->body = need_text(body);
    http->fn = fn;
    http->context = context;
    curl_easy_setopt(http->easy, CURLOPT_URL, url);
    curl_easy_setopt(http->easy, CURLOPT_POSTFIELDS, http->body);
    curl_easy_setopt(http->easy, CURLOPT_POSTFIELDSIZE_LARGE, (curl_off_t)strlen(body));
    http->busy = curl_multi_add_handle(http->multi, http->easy) == CURLM_OK;
    return http->busy;
}

bool
http_is_url(const char *text)
{
    CURLU *url = curl_url();
    char *scheme = NULL, *host = NULL;
    bool good = url && curl_url_set(url, CURLUPART_URL, text, 0) == CURLUE_OK &&
                curl_url_get(url, CURLUPART_SCHEME, &scheme, 0) == CURLUE_OK &&
                curl_url_get(url, CURLUPART_HOST, &host, 0) == CURLUE_OK &&
                (strcmp(scheme, "http") == 0 || strcmp(scheme, "https") == 0);

    curl_free(scheme);
    curl_free(host);
    curl_url_cleanup(url);
    return good;
}
