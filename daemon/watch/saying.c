/* SPDX-License-Identifier: MIT */
#include "watch/saying.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/escape.h"
#include "base/json.h"
#include "base/output.h"
#include "check/check.h"
#include "core/need.h"
#include "loop/service.h"
#include "report/report.h"
#include "tell/chat.h"
#include "tell/cue.h"
#include "tell/lines.h"
#include "tell/message.h"

/* Priorities of syslog(3), as the journal wants them. */
enum { PRIORITY_WARNING = 4, PRIORITY_INFO = 6 };

struct saying {
    const struct watch_shared *shared;
    const struct session *session;
    struct kept *kept;
    struct record *record;
    struct saying_sinks sinks;
    struct json *later; /* lines that come behind the first page; NULL: it is there */
    bool stopped;       /* nothing more is said */
    const char *head;   /* for the message in hand: in place of its cause's line */
    int64_t clear_ms;   /* of the last all-clear to the hook */
    char events[SAYING_EVENTS][SAYING_EVENT_SIZE]; /* a ring of what was said, for the screen */
    size_t event_count;
};

/* ---- opening and closing ---- */

static void
close_sinks(struct saying_sinks sinks)
{
    chat_close(sinks.chat);
    lines_close(sinks.lines);
    cue_close(sinks.cue);
}

static void
on_trouble(void *context, const char *line)
{
    saying_outside(context, line);
}

/* What is kept lets it go out. */
static void
on_kept(void *context, enum weight weight, const char *id, const char *text)
{
    const struct saying *saying = context;

    if (saying->sinks.chat)
        chat_say(saying->sinks.chat, weight, id, text);
}

struct saying *
saying_new(const struct watch_shared *shared, const struct session *session, struct kept *kept,
           struct record *record)
{
    struct saying *saying = need_memory(1, sizeof *saying);

    *saying = (struct saying){.shared = shared,
                              .session = session,
                              .kept = kept,
                              .record = record,
                              .clear_ms = loop_now_ms(shared->loop)};
    kept_set_owner(kept, (struct kept_owner){on_kept, on_trouble, saying});
    return saying;
}

void
saying_free(struct saying *saying)
{
    if (!saying)
        return;
    close_sinks(saying->sinks);
    json_free(saying->later);
    free(saying);
}

/* ---- who is told besides the terminal ---- */

static void
on_message_ended(void *context, const char *id, enum chat_end end)
{
    const struct saying *saying = context;

    (void)end;
    kept_ended(saying->kept, id);
}

bool
saying_open_sinks(struct saying *saying, const struct session *session, struct saying_sinks *sinks,
                  struct problems *problems)
{
    const struct watch_shared *shared = saying->shared;
    const struct show_file *file = session->file;
    struct chat_owner owner = {on_trouble, on_message_ended, saying};
    size_t before = problems->count;

    *sinks = (struct saying_sinks){NULL, NULL, NULL};
    if (file && show_file_has_chat(file))
        sinks->chat = chat_open(shared->loop, &file->tell.chat, chat_waits, owner, problems);
    if (file && file->tell.lines)
        sinks->lines = lines_open(file->tell.lines, on_trouble, saying, problems);
    if (file && file->tell.cue.host)
        sinks->cue = cue_open(shared->loop, &file->tell.cue, shared->hosts, on_trouble, saying);
    if (problems->count == before)
        return true;
    close_sinks(*sinks);
    return false;
}

void
saying_set_sinks(struct saying *saying, struct saying_sinks sinks)
{
    close_sinks(saying->sinks);
    saying->sinks = sinks;
}

struct chat *
saying_chat(const struct saying *saying)
{
    return saying->sinks.chat;
}

void
saying_reopen(struct saying *saying)
{
    if (saying->sinks.lines)
        lines_reopen(saying->sinks.lines);
}

/* ---- lines ---- */

static void
remember(struct saying *saying, const char *line)
{
    char when[CLOCK_SIZE];

    clock_time(when);
    snprintf(saying->events[saying->event_count++ % SAYING_EVENTS], SAYING_EVENT_SIZE, "%s %.*s",
             when, SAYING_EVENT_MOST, line);
    saying->shared->changed(saying->shared->context);
}

bool
saying_has_stdout(const struct session *session)
{
    const struct show_file *file = session->file;

    return !file || !file->tell.lines || strcmp(file->tell.lines, "-") != 0;
}

static void
print_line(struct saying *saying, const char *when, const char *line)
{
    char timed[SAYING_LINE_SIZE + CLOCK_SIZE + SHOW_NAME_SIZE];
    /* JSON lines on standard output stand there alone: people read standard error then. */
    FILE *to = saying_has_stdout(saying->session) ? stdout : stderr;
    int strong[OUTPUT_STRONG];

    snprintf(timed, sizeof timed, "%s %s%s%s", when,
             saying->shared->several ? session_name(saying->session) : "",
             saying->shared->several ? ": " : "", line);
    message_strong(timed, strong);
    output_line(to, 9, timed, strong);
    if (to == stdout && !output_finish() && !saying->stopped) {
        saying->stopped = true;
        saying->shared->output_lost(saying->shared->context);
    }
}

void
saying_wait_for_page(struct saying *saying)
{
    saying->later = json_new_array();
}

void
saying_go_on(struct saying *saying)
{
    char when[CLOCK_SIZE];

    clock_time(when);
    for (const struct json *line = json_first(saying->later); line; line = json_next(line))
        print_line(saying, when, json_string(line));
    json_free(saying->later);
    saying->later = NULL;
}

/* To whoever reads along; `event` and `weight` are for the journal. */
static void
publish(struct saying *saying, const char *event, enum weight weight, const char *line)
{
    const char *fields[] = {"GAINWARDEN_SHOW",
                            session_name(saying->session),
                            "GAINWARDEN_EVENT",
                            event,
                            "GAINWARDEN_WEIGHT",
                            weight_name(weight),
                            NULL};
    char when[CLOCK_SIZE];

    clock_time(when);
    if (saying->shared->has_journal)
        service_journal(weight == WEIGHT_NOTE ? PRIORITY_INFO : PRIORITY_WARNING, line, fields);
    else if (saying->shared->has_screen || saying->shared->unseen)
        return; /* the screen shows what is remembered */
    else if (saying->later)
        json_add_string(saying->later, NULL, line);
    else
        print_line(saying, when, line);
}

static void
say(struct saying *saying, const char *event, enum weight weight, const char *line)
{
    remember(saying, line);
    publish(saying, event, weight, line);
}

void
saying_line(struct saying *saying, const char *line)
{
    say(saying, "line", WEIGHT_NOTE, line);
}

void
saying_outside(struct saying *saying, const char *line)
{
    char clean[SAYING_LINE_SIZE];

    escape_clean(clean, sizeof clean, line);
    record_note(saying->record, RECORDED_SAID, json_new_string(clean));
    saying_line(saying, line);
}

static void
chat(struct saying *saying, enum weight weight, const char *text)
{
    char id[CHAT_ID_SIZE], named[CHAT_TEXT_SIZE + SHOW_NAME_SIZE];

    if (!saying->sinks.chat)
        return;
    snprintf(named, sizeof named, "%s: %s", session_name(saying->session), text);
    kept_message(saying->kept, chat_new_id(id), weight, named);
}

/* {"event": ..., "at": ..., "show": ...} */
static struct json *
event_json(const struct saying *saying, const char *event)
{
    struct json *json = json_new_object();
    char at[CLOCK_SIZE];

    json_add_string(json, "event", event);
    json_add_string(json, "at", clock_rfc3339(at));
    json_add_string(json, "show", session_name(saying->session));
    return json;
}

static void
write_event(struct saying *saying, const char *event, const char *line)
{
    struct json *json;

    if (!saying->sinks.lines)
        return;
    json = event_json(saying, event);
    json_add_string(json, "says", line);
    lines_write(saying->sinks.lines, json);
    json_free(json);
}

void
saying_still(struct saying *saying, const char *line)
{
    const struct show_file *file = saying->session->file;
    int64_t now_ms = loop_now_ms(saying->shared->loop);

    say(saying, "still", WEIGHT_NOTE, line);
    write_event(saying, "still", line);
    if (!saying->sinks.chat || file->tell.chat.all_clear_s <= 0 ||
        now_ms - saying->clear_ms < (int64_t)(file->tell.chat.all_clear_s * 1000))
        return;
    saying->clear_ms = now_ms;
    chat(saying, WEIGHT_NOTE, line);
    kept_commit(saying->kept);
}

void
saying_to_all(struct saying *saying, const char *event, enum weight weight, const char *line)
{
    say(saying, event, weight, line);
    kept_say(saying->kept, line);
    chat(saying, weight, line);
    write_event(saying, event, line);
    if (saying->sinks.cue && weight >= saying->session->file->tell.cue.from_weight)
        cue_send(saying->sinks.cue, event, weight_name(weight), "", "desk", line);
}

void
saying_stop(struct saying *saying)
{
    saying->stopped = true;
}

bool
saying_has_stopped(const struct saying *saying)
{
    return saying->stopped;
}

size_t
saying_events(const struct saying *saying, char events[SAYING_EVENTS][SAYING_EVENT_SIZE])
{
    size_t count = saying->event_count;
    size_t first = count > SAYING_EVENTS ? count - SAYING_EVENTS : 0;

    for (size_t i = first; i < count; i++)
        memcpy(events[i - first], saying->events[i % SAYING_EVENTS], SAYING_EVENT_SIZE);
    return count - first;
}

/* ---- what the watcher tells ---- */

/* What is long leaves room for the line that counts the rest, and for the one that counts what did
 * not fit. */
enum { CHAT_SHORT = 120, CHAT_SPARE = 200 };

struct in_hand {
    struct saying *saying;
    const struct message *message;
    char text[CHAT_TEXT_SIZE - 100];
    size_t left_out;   /* lines */
    const char *event; /* what the screen remembers of it; NULL: its first line */
    bool remembered;
};

/* A line goes into the text whole or not at all. */
static void
add_line(struct in_hand *in_hand, const char *line)
{
    size_t used = strlen(in_hand->text), length = strlen(line) + 1;

    if (used + length + (length > CHAT_SHORT ? CHAT_SPARE : 1) > sizeof in_hand->text)
        in_hand->left_out++;
    else
        snprintf(in_hand->text + used, sizeof in_hand->text - used, "%s%s", used > 0 ? "\n" : "",
                 line);
}

static void
on_line(void *context, const char *line, bool chat)
{
    struct in_hand *in_hand = context;

    if (!in_hand->remembered) {
        remember(in_hand->saying, in_hand->event ? in_hand->event : line);
        kept_say(in_hand->saying->kept, in_hand->event ? in_hand->event : line);
    }
    in_hand->remembered = true;
    publish(in_hand->saying, "message", in_hand->message->weight, line);
    if (chat)
        add_line(in_hand, line);
}

static void
count_left_out(struct in_hand *in_hand)
{
    char line[CHAT_SHORT];

    if (in_hand->left_out == 0)
        return;
    snprintf(line, sizeof line, "%zu line%s did not fit here: the watch has all", in_hand->left_out,
             in_hand->left_out == 1 ? "" : "s");
    add_line(in_hand, line);
}

/* Nothing but suspicions: who reads a chat would only be frightened. */
static bool
is_suspicion(const struct message *message)
{
    size_t i = 0;

    while (i < message->count && message->edges[i].finding->check->suspects)
        i++;
    return message->count > 0 && i == message->count && message->weight == WEIGHT_NOTE;
}

void
saying_message(struct saying *saying, const struct message *message, const struct quiets *quiets)
{
    struct in_hand in_hand = {.saying = saying, .message = message};
    struct message_more more = {saying->head, quiets};
    bool always = message->cause.kind == CAUSE_BACK;
    char brief[MESSAGE_LINE_SIZE];

    if (message_brief(message, saying->session->engine, brief))
        in_hand.event = brief;
    message_lines(message, saying->session->engine, &more, on_line, &in_hand);
    count_left_out(&in_hand);
    if (saying->sinks.chat && *in_hand.text && !is_suspicion(message) &&
        (always || message->weight >= saying->session->file->tell.chat.from_weight))
        chat(saying, message->weight, in_hand.text);
}

static void
write_edge(struct saying *saying, const struct event *event, const char *hidden, enum room room)
{
    struct json *json = event_json(saying, event_name(event->kind));

    json_add(json, "finding", report_finding_json(saying->session->engine, event->finding, NULL));
    if (event->kind == EVENT_CLEARED)
        json_add_number(json, "lasted_s", round((double)event->lasted_ms / 100) / 10);
    if (*hidden)
        json_add_string(json, "held_back_by", hidden);
    json_add_string(json, "room", room_name(room));
    lines_write(saying->sinks.lines, json);
    json_free(json);
}

static void
send_cue(struct saying *saying, const struct event *event)
{
    const struct engine *engine = saying->session->engine;
    const struct finding *finding = event->finding;
    char object[REPORT_OBJECT_SIZE];
    struct words words;

    engine_words(engine, finding, &words);
    cue_send(saying->sinks.cue, event_name(event->kind), weight_name(finding->told_weight),
             finding->check->id, report_object(engine, finding->object, object), words.says);
}

void
saying_edge(struct saying *saying, const struct event *event, enum hidden hidden, const char *by,
            enum room room)
{
    if (saying->sinks.lines)
        write_edge(saying, event, by, room);
    if (saying->sinks.cue && hidden == HIDDEN_NOT &&
        event->finding->told_weight >= saying->session->file->tell.cue.from_weight)
        send_cue(saying, event);
    saying->shared->changed(saying->shared->context);
}

void
saying_seen(struct saying *saying, const struct finding *finding, const char *by)
{
    struct json *json;

    saying->shared->changed(saying->shared->context);
    if (!saying->sinks.lines)
        return;
    json = event_json(saying, "seen");
    json_add(json, "finding", report_finding_json(saying->session->engine, finding, NULL));
    json_add_string(json, "by", by);
    lines_write(saying->sinks.lines, json);
    json_free(json);
}

void
saying_begin_with(struct saying *saying, const char *head)
{
    saying->head = head;
}

void
saying_room(struct saying *saying, enum room from, enum room to, const char *why)
{
    char line[300];

    snprintf(line, sizeof line, "room %s -> %s (%s): %s", room_name(from), room_name(to), why,
             room_rows[to].help);
    say(saying, "room", WEIGHT_NOTE, line);
    kept_say(saying->kept, line);
}
