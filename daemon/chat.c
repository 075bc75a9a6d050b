#include "chat.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "http.h"
#include "json.h"

enum trouble { TROUBLE_NONE, TROUBLE_RETRYING, TROUBLE_GIVING_UP };

struct chat {
    const struct chat_settings *settings;
    const char *url; /* the environment's; secret */
    struct http *http;
    struct loop_timer *again;
    chat_trouble_fn *trouble;
    void *context;
    char *texts[CHAT_KEPT]; /* oldest first */
    int count;
    unsigned dropped;
    int tries;         /* of the oldest */
    bool busy;         /* it is under way, or waits for its next try */
    enum trouble told; /* what the terminal was told last */
};

static void send_oldest(struct chat *chat);

static void
drop_oldest(struct chat *chat)
{
    free(chat->texts[0]);
    chat->count--;
    memmove(chat->texts, chat->texts + 1, (size_t)chat->count * sizeof *chat->texts);
}

/* Tells the terminal when the trouble is another than the one it was told last. */
static void
tell(struct chat *chat, enum trouble trouble, const char *what, const char *why)
{
    char line[200];

    if (chat->told == trouble)
        return;
    chat->told = trouble;
    snprintf(line, sizeof line, "chat: %s%s%s%s", what, *why ? " (" : "", why, *why ? ")" : "");
    chat->trouble(chat->context, line);
}

/* 1, 2, 4, ... s, up to a minute, each up to a quarter longer so that many watches do not knock at
 * once. */
static int64_t
wait_ms(const struct chat *chat)
{
    int64_t wait = INT64_C(1000) << (chat->tries < 7 ? chat->tries - 1 : 6);

    wait = wait > CHAT_LONGEST_WAIT_MS ? CHAT_LONGEST_WAIT_MS : wait;
    return wait + rand() % (wait / 4);
}

static void
next(struct chat *chat)
{
    chat->busy = false;
    chat->tries = 0;
    drop_oldest(chat);
    send_oldest(chat);
}

static void
failed(struct chat *chat, const struct http_result *result)
{
    bool hopeless = result->status >= 400 && result->status < 500 && result->status != 408 &&
                    result->status != 429;
    char why[100];

    if (result->status)
        snprintf(why, sizeof why, "the hook answered %d", result->status);
    else
        snprintf(why, sizeof why, "%s", result->error);
    if (hopeless || chat->tries >= CHAT_TRIES) {
        tell(chat, TROUBLE_GIVING_UP, "a message was not delivered and is given up", why);
        next(chat);
        return;
    }
    tell(chat, TROUBLE_RETRYING, "a message was not delivered, it is tried again", why);
    loop_timer_start(chat->again,
                     result->retry_after_s > 0 ? result->retry_after_s * 1000 : wait_ms(chat), 0);
}

static void
on_result(void *context, const struct http_result *result)
{
    struct chat *chat = context;

    if (result->status < 200 || result->status > 299) {
        failed(chat, result);
        return;
    }
    tell(chat, TROUBLE_NONE, "messages are delivered again", "");
    next(chat);
}

/* The template with the text put in. */
static char *
make_body(const struct chat *chat, const char *text)
{
    struct json *body;
    char *printed;

    if (chat->settings->body) {
        body = json_fill(chat->settings->body, text);
    } else {
        body = json_new_object();
        json_add_string(body, "text", text);
    }
    printed = json_print(body, false);
    json_free(body);
    return printed;
}

static void
try_oldest(void *context)
{
    static const struct http_result not_begun = {.error = "cannot be begun"};
    struct chat *chat = context;
    char text[4200];
    char *body;

    if (chat->dropped > 0)
        snprintf(text, sizeof text, "(%u older messages were dropped) %s", chat->dropped,
                 chat->texts[0]);
    else
        snprintf(text, sizeof text, "%s", chat->texts[0]);
    chat->tries++;
    body = make_body(chat, text);
    if (!http_post(chat->http, chat->url, body, on_result, chat))
        failed(chat, &not_begun);
    else
        chat->dropped = 0;
    free(body);
}

static void
send_oldest(struct chat *chat)
{
    if (chat->busy || chat->count == 0)
        return;
    chat->busy = true;
    try_oldest(chat);
}

/* Names the variable, never what it holds. */
static const char *
find_url(const struct chat_settings *settings, struct problems *problems)
{
    const char *url = getenv(settings->url_env);

    if (!url || !*url)
        problems_add(problems, "tell.chat.url_env: the environment variable %s is not set",
                     settings->url_env);
    else if (!http_is_url(url))
        problems_add(problems,
                     "tell.chat.url_env: the environment variable %s holds no http:// or https:// "
                     "address",
                     settings->url_env);
    else
        return url;
    return NULL;
}

static bool
can_read(const char *path, struct problems *problems)
{
    FILE *file = path ? fopen(path, "rb") : NULL;

    if (path && !file)
        problems_add(problems, "%s: cannot read: %s", path, strerror(errno));
    if (file)
        fclose(file);
    return file || !path;
}

struct chat *
chat_open(struct loop *loop, const struct chat_settings *settings, chat_trouble_fn *trouble,
          void *context, struct problems *problems)
{
    const char *url = find_url(settings, problems);
    struct chat *chat;

    if (!url || !can_read(settings->ca_file, problems))
        return NULL;
    chat = calloc(1, sizeof *chat);
    if (!chat)
        abort();
    srand((unsigned)loop_now_ms(loop)); /* so that not every watch waits alike */
    chat->settings = settings;
    chat->url = url;
    chat->trouble = trouble;
    chat->context = context;
    chat->again = loop_timer_open(loop, try_oldest, chat);
    chat->http = http_open(loop, settings->ca_file);
    if (!chat->http)
        abort();
    return chat;
}

void
chat_close(struct chat *chat)
{
    if (!chat)
        return;
    http_close(chat->http);
    loop_timer_close(chat->again);
    while (chat->count > 0)
        drop_oldest(chat);
    free(chat);
}

void
chat_say(struct chat *chat, const char *text)
{
    /* the oldest may be under way: the one behind it goes */
    if (chat->count == CHAT_KEPT) {
        char *oldest = chat->texts[0];

        chat->texts[0] = chat->texts[1];
        chat->texts[1] = oldest;
        drop_oldest(chat);
        chat->dropped++;
    }
    chat->texts[chat->count] = strdup(text);
    if (!chat->texts[chat->count])
        abort();
    chat->count++;
    send_oldest(chat);
}

bool
chat_idle(const struct chat *chat)
{
    return chat->count == 0;
}
