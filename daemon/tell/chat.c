/* SPDX-License-Identifier: MIT */
#include "tell/chat.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>

#include "base/json.h"
#include "core/need.h"
#include "loop/http.h"
#include "tell/chat_url.h"
#include "tell/words_only.h"

/* What the terminal was told last. After chat_resume() whatever comes next is news. */
enum trouble { TROUBLE_NONE, TROUBLE_RETRYING, TROUBLE_STOPPED, TROUBLE_RESUMED };

enum { DOUBLED_MOST = 16, SAY_DROPPED_SIZE = 60 };

const struct chat_waits chat_waits = {1000, 60000, 3600000};

struct note {
    char id[CHAT_ID_SIZE];
    enum weight weight;
    int64_t since_ms;
    char *text;
};

struct chat {
    const struct chat_settings *settings;
    struct chat_waits waits;
    struct loop *loop;
    char *url; /* secret */
    struct http *http;
    struct loop_timer *again;
    struct chat_owner owner;
    struct note notes[CHAT_KEPT]; /* oldest first */
    int count;
    char *body;       /* of the oldest, from its first try on: one identity, one payload */
    unsigned said;    /* how many were dropped, as that body says */
    unsigned dropped; /* since one was delivered that said so */
    int tries;        /* of the oldest */
    bool busy;        /* it is under way, or waits for its next try */
    int64_t again_ms; /* when that is; -1: it is under way, or none is planned */
    bool stopped;
    int status;    /* the last answer */
    char why[150]; /* why the last try failed */
    enum trouble told;
};

static void send_oldest(struct chat *chat);

static void
forget_body(struct chat *chat)
{
    free(chat->body);
    chat->body = NULL;
    chat->said = 0;
}

/* Takes note i out of the queue. */
static void
end(struct chat *chat, int i, enum chat_end how)
{
    struct note note = chat->notes[i];

    if (i == 0)
        forget_body(chat);
    chat->count--;
    memmove(chat->notes + i, chat->notes + i + 1, (size_t)(chat->count - i) * sizeof *chat->notes);
    chat->owner.ended(chat->owner.context, note.id, how);
    free(note.text);
}

/* Tells the terminal when the trouble is another than the one it was told last. */
static void
tell(struct chat *chat, enum trouble trouble, const char *what)
{
    char line[300];

    if (chat->told == trouble)
        return;
    chat->told = trouble;
    snprintf(line, sizeof line, "chat: %s", what);
    chat->owner.trouble(chat->owner.context, line);
}

static uint32_t
chance(void)
{
    uint32_t number = 0;

    /* without it waits are in step with those of other watches, and nothing worse */
    if (getrandom(&number, sizeof number, GRND_NONBLOCK) != sizeof number)
        number = 0;
    return number;
}

static int64_t
lesser(int64_t one, int64_t other)
{
    return one < other ? one : other;
}

/* 1, 2, 4, ... times the first wait up to the longest, each up to a quarter longer so that many
 * watches do not knock at once. */
static int64_t
wait_ms(const struct chat *chat)
{
    int doubled = chat->tries - 1 < DOUBLED_MOST ? chat->tries - 1 : DOUBLED_MOST;
    int64_t wait = lesser(chat->waits.first_ms << doubled, chat->waits.longest_ms);

    return wait + (int64_t)(chance() % (uint32_t)(wait / 4 + 1));
}

/* As long as the hook asked, but no longer than is sensible, and a little more, so that those who
 * were told the same do not all come back at once; 0: it asked for nothing. */
static int64_t
asked_ms(const struct chat *chat, const struct http_result *result)
{
    int64_t asked = lesser((int64_t)result->retry_after_s * 1000, chat->waits.asked_ms);

    if (asked <= 0)
        return 0;
    return asked + (int64_t)(chance() % (uint32_t)(chat->waits.first_ms / 4 + 1));
}

static void
stop(struct chat *chat)
{
    char what[250];

    chat->stopped = true;
    chat->busy = false;
    snprintf(
        what, sizeof what,
        "%s and delivery stopped; %d message%s kept. Mend the hook, then `gainwarden reload` or "
        "start again",
        chat->why, chat->count, chat->count == 1 ? " is" : "s are");
    tell(chat, TROUBLE_STOPPED, what);
}

static void
failed(struct chat *chat, const struct http_result *result)
{
    bool again = result->status == 0 || result->status == 408 || result->status == 429 ||
                 result->status >= 500;
    int64_t asked = asked_ms(chat, result), wait = asked > 0 ? asked : wait_ms(chat);
    char what[250];

    if (result->status)
        snprintf(chat->why, sizeof chat->why, "the hook answered %d", result->status);
    else
        snprintf(chat->why, sizeof chat->why, "%s",
                 result->distrusted
                     ? "nobody known here signed the hook's certificate: name a file "
                       "with it under tell.chat.ca_file"
                     : result->error);
    if (again) {
        loop_timer_start(chat->again, wait, 0);
        chat->again_ms = loop_now_ms(chat->loop) + wait;
        snprintf(what, sizeof what, "a message was not delivered, it is tried again (%s)",
                 chat->why);
        tell(chat, TROUBLE_RETRYING, what);
    } else {
        stop(chat);
    }
}

/* The terminal hears of the dropped ones when the hook does. */
static void
tell_dropped(struct chat *chat, unsigned count)
{
    char line[100];

    if (count == 0)
        return;
    snprintf(line, sizeof line, "chat: %u older message%s dropped, because too many waited", count,
             count == 1 ? " was" : "s were");
    chat->owner.trouble(chat->owner.context, line);
}

static void
delivered(struct chat *chat)
{
    unsigned said = chat->said;

    chat->busy = false;
    chat->tries = 0;
    chat->dropped -= said;
    chat->why[0] = '\0';
    tell(chat, TROUBLE_NONE, "messages are delivered again");
    tell_dropped(chat, said);
    end(chat, 0, CHAT_DELIVERED);
    send_oldest(chat);
}

static void
on_result(void *context, const struct http_result *result)
{
    struct chat *chat = context;

    chat->status = result->status;
    if (result->status >= 200 && result->status <= 299)
        delivered(chat);
    else
        failed(chat, result);
}

/* What the oldest says, and before it how many were dropped; to free(). */
static char *
make_text(const struct chat *chat)
{
    const char *said = chat->notes[0].text;
    size_t size = strlen(said) + SAY_DROPPED_SIZE;
    char *text = need_memory(size, 1);

    if (chat->dropped == 0)
        return strcpy(text, said);
    snprintf(text, size, "(%u older message%s dropped) %s", chat->dropped,
             chat->dropped == 1 ? " was" : "s were", said);
    return text;
}

/* The template with the text put in, in which nothing calls or links. */
static char *
make_body(const struct chat *chat)
{
    char *text = make_text(chat), *words = words_only(text), *printed;
    struct json *body;

    if (chat->settings->body) {
        body = json_fill(chat->settings->body, words, chat->notes[0].id);
    } else {
        body = json_new_object();
        json_add_string(body, "text", words);
    }
    printed = json_print(body, false);
    json_free(body);
    free(words);
    free(text);
    return printed;
}

static void
try_oldest(void *context)
{
    static const struct http_result not_begun = {.error = "cannot be begun"};
    struct chat *chat = context;

    if (!chat->body) {
        chat->body = make_body(chat);
        chat->said = chat->dropped;
    }
    chat->tries++;
    chat->again_ms = -1;
    if (!http_post(chat->http, chat->url, chat->body, chat->notes[0].id, on_result, chat))
        failed(chat, &not_begun);
}

static void
send_oldest(struct chat *chat)
{
    if (chat->busy || chat->stopped || chat->count == 0)
        return;
    chat->busy = true;
    try_oldest(chat);
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
chat_open(struct loop *loop, const struct chat_settings *settings, struct chat_waits waits,
          struct chat_owner owner, struct problems *problems)
{
    char *url = chat_url(settings, problems);
    struct chat *chat;

    if (!url || !can_read(settings->ca_file, problems)) {
        free(url);
        return NULL;
    }
    chat = need_memory(1, sizeof *chat);
    *chat = (struct chat){.loop = loop,
                          .again_ms = -1,
                          .settings = settings,
                          .waits = waits,
                          .url = url,
                          .owner = owner,
                          .again = loop_timer_open(loop, try_oldest, chat),
                          .http = http_open(loop, settings->ca_file)};
    return chat;
}

void
chat_close(struct chat *chat)
{
    if (!chat)
        return;
    http_close(chat->http);
    loop_timer_close(chat->again);
    free(chat->body);
    free(chat->url);
    for (int i = 0; i < chat->count; i++)
        free(chat->notes[i].text);
    free(chat);
}

const char *
chat_new_id(char id[CHAT_ID_SIZE])
{
    unsigned char bytes[(CHAT_ID_SIZE - 1) / 2];

    if (getrandom(bytes, sizeof bytes, 0) != sizeof bytes)
        abort(); /* the kernel has no randomness: then it has worse troubles */
    for (size_t i = 0; i < sizeof bytes; i++)
        snprintf(id + 2 * i, 3, "%02x", bytes[i]);
    return id;
}

/* Makes room: the oldest of the least weight, but not the one under way. */
static void
drop_one(struct chat *chat)
{
    int least = chat->busy ? 1 : 0;

    for (int i = least; i < chat->count; i++)
        if (chat->notes[i].weight < chat->notes[least].weight)
            least = i;
    end(chat, least, CHAT_DROPPED);
    if (chat->dropped++ == 0)
        chat->owner.trouble(
            chat->owner.context,
            "chat: too many messages wait; the oldest of the least weight are dropped");
}

void
chat_say(struct chat *chat, enum weight weight, const char *id, const char *text)
{
    struct note *note;

    if (chat->count == CHAT_KEPT)
        drop_one(chat);
    note = &chat->notes[chat->count++];
    *note = (struct note){
        .weight = weight, .since_ms = loop_now_ms(chat->loop), .text = need_text(text)};
    snprintf(note->id, sizeof note->id, "%s", id);
    send_oldest(chat);
}

int
chat_waiting(const struct chat *chat)
{
    return chat->count;
}

struct chat_state
chat_state(const struct chat *chat)
{
    int64_t now_ms = loop_now_ms(chat->loop);
    struct chat_state state = {chat->count, 0, -1};

    if (chat->count > 0)
        state.waited_ms = now_ms - chat->notes[0].since_ms;
    if (chat->again_ms >= 0)
        state.next_try_ms = chat->again_ms > now_ms ? chat->again_ms - now_ms : 0;
    return state;
}

bool
chat_has_stopped(const struct chat *chat)
{
    return chat->stopped;
}

void
chat_resume(struct chat *chat)
{
    if (!chat->stopped)
        return;
    chat->stopped = false;
    chat->tries = 0;
    chat->told = TROUBLE_RESUMED;
    send_oldest(chat);
}

int
chat_last_status(const struct chat *chat)
{
    return chat->status;
}

const char *
chat_why(const struct chat *chat)
{
    return chat->why;
}
