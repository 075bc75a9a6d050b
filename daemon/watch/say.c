/* What the watch says, and to whom: the terminal or journal, the chat hook, JSON lines, the cue.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/clock.h"
#include "base/escape.h"
#include "base/json.h"
#include "base/output.h"
#include "check/check.h"
#include "core/need.h"
#include "loop/service.h"
#include "report/report.h"
#include "tell/message.h"
#include "watch/desk_parts.h"

/* Priorities of syslog(3), as the journal wants them. */
enum { PRIORITY_WARNING = 4, PRIORITY_NOTICE = 5, PRIORITY_INFO = 6 };

/* ---- lines ---- */

static void
remember(struct watch_desk *desk, const char *when, const char *line)
{
    struct watch_event *event = &desk->events[desk->event_count++ % WATCH_EVENTS];

    snprintf(event->when, sizeof event->when, "%s", when);
    snprintf(event->line, sizeof event->line, "%s", line);
    desk->shared->changed(desk->shared->context);
}

bool
watch_has_stdout(const struct session *session)
{
    const struct show_file *file = session->file;

    return !file || !file->tell.lines || strcmp(file->tell.lines, "-") != 0;
}

static void
print_line(struct watch_desk *desk, const char *when, const char *line)
{
    char timed[WATCH_LINE_SIZE + CLOCK_SIZE + SHOW_NAME_SIZE];
    /* JSON lines on standard output stand there alone: people read standard error then. */
    FILE *to = watch_has_stdout(desk->session) ? stdout : stderr;
    int strong[OUTPUT_STRONG];

    snprintf(timed, sizeof timed, "%s %s%s%s", when,
             desk->shared->several ? session_name(desk->session) : "",
             desk->shared->several ? ": " : "", line);
    message_strong(timed, strong);
    output_line(to, 9, timed, strong);
    if (to == stdout && !output_finish() && !desk->stopping) {
        desk->stopping = true;
        desk->shared->output_lost(desk->shared->context);
    }
}

static void
keep_for_later(struct watch_desk *desk, const char *line)
{
    size_t used = desk->later ? strlen(desk->later) : 0, length = strlen(line);

    desk->later = need_more(desk->later, used + length + 2, 1);
    memcpy(desk->later + used, line, length);
    memcpy(desk->later + used + length, "\n", 2);
}

void
watch_say_later(struct watch_desk *desk)
{
    char when[CLOCK_SIZE];
    char *at = desk->later;

    clock_time(when);
    desk->page_first = false;
    for (char *end; at && (end = strchr(at, '\n')); at = end + 1) {
        *end = '\0';
        print_line(desk, when, at);
    }
    free(desk->later);
    desk->later = NULL;
}

/* `event` and `weight` are for the journal. */
static void
say(struct watch_desk *desk, const char *event, enum weight weight, const char *line)
{
    const char *fields[] = {"GAINWARDEN_SHOW",
                            session_name(desk->session),
                            "GAINWARDEN_EVENT",
                            event,
                            "GAINWARDEN_WEIGHT",
                            weight_name(weight),
                            NULL};
    char when[CLOCK_SIZE];

    clock_time(when);
    remember(desk, when, line);
    if (!desk->shared->past && service_has_journal())
        service_journal(weight == WEIGHT_NOTE ? PRIORITY_INFO : PRIORITY_WARNING, line, fields);
    else if (desk->shared->has_screen || desk->shared->unseen)
        return; /* the screen shows what is remembered */
    else if (desk->page_first)
        keep_for_later(desk, line);
    else
        print_line(desk, when, line);
}

void
watch_say(struct watch_desk *desk, const char *line)
{
    say(desk, "line", WEIGHT_NOTE, line);
}

void
watch_say_outside(struct watch_desk *desk, const char *line)
{
    char clean[WATCH_LINE_SIZE];

    escape_clean(clean, sizeof clean, line);
    record_note(desk->record, RECORDED_SAID, json_new_string(clean));
    watch_say(desk, line);
}

static void
chat(struct watch_desk *desk, enum weight weight, const char *text)
{
    char id[CHAT_ID_SIZE], named[CHAT_TEXT_SIZE + SHOW_NAME_SIZE];

    if (!desk->sinks.chat)
        return;
    snprintf(named, sizeof named, "%s: %s", session_name(desk->session), text);
    kept_message(desk->kept, chat_new_id(id), weight, named);
}

/* {"event": ..., "at": ..., "show": ...} */
static struct json *
event_json(const struct watch_desk *desk, const char *event)
{
    struct json *json = json_new_object();
    char at[CLOCK_SIZE];

    json_add_string(json, "event", event);
    json_add_string(json, "at", clock_rfc3339(at));
    json_add_string(json, "show", session_name(desk->session));
    return json;
}

static void
write_event(struct watch_desk *desk, const char *event, const char *line)
{
    struct json *json;

    if (!desk->sinks.lines)
        return;
    json = event_json(desk, event);
    json_add_string(json, "says", line);
    lines_write(desk->sinks.lines, json);
    json_free(json);
}

void
watch_say_still(struct watch_desk *desk, const char *line)
{
    const struct show_file *file = desk->session->file;
    int64_t now_ms = loop_now_ms(desk->shared->loop);

    say(desk, "still", WEIGHT_NOTE, line);
    write_event(desk, "still", line);
    if (!desk->sinks.chat || file->tell.chat.all_clear_s <= 0 ||
        now_ms - desk->clear_ms < (int64_t)(file->tell.chat.all_clear_s * 1000))
        return;
    desk->clear_ms = now_ms;
    chat(desk, WEIGHT_NOTE, line);
    kept_commit(desk->kept);
}

void
watch_say_to_all(struct watch_desk *desk, const char *event, enum weight weight, const char *line)
{
    say(desk, event, weight, line);
    chat(desk, weight, line);
    write_event(desk, event, line);
    if (desk->sinks.cue && weight >= desk->session->file->tell.cue.from_weight)
        cue_send(desk->sinks.cue, event, weight_name(weight), "", "desk", line);
}

/* ---- messages ---- */

struct saying {
    struct watch_desk *desk;
    const struct message *message;
    char text[CHAT_TEXT_SIZE - 100];
};

static void
on_line(void *context, const char *line)
{
    struct saying *saying = context;
    size_t used = strlen(saying->text);

    say(saying->desk, "message", saying->message->weight, line);
    snprintf(saying->text + used, sizeof saying->text - used, "%s%s", used > 0 ? "\n" : "", line);
}

void
watch_on_message(void *context, const struct message *message)
{
    struct watch_desk *desk = context;
    struct saying saying = {.desk = desk, .message = message};
    struct message_more more = {desk->head, watcher_quiets(desk->watcher)};
    bool always = message->cause.kind == CAUSE_BACK;

    for (size_t i = 0; i < message->count; i++)
        kept_edge(desk->kept, &message->edges[i]);
    message_lines(message, desk->session->engine, &more, on_line, &saying);
    if (desk->sinks.chat && *saying.text &&
        (always || message->weight >= desk->session->file->tell.chat.from_weight))
        chat(desk, message->weight, saying.text);
}

/* ---- edges ---- */

const char *
watch_hidden_by(const struct watch_desk *desk, enum hidden hidden, int by, char text[200])
{
    const struct quiets *quiets = watcher_quiets(desk->watcher);
    char object[REPORT_OBJECT_SIZE];

    *text = '\0';
    switch (hidden) {
    case HIDDEN_NOT:
        break;
    case HIDDEN_BY_QUIET:
        for (size_t i = 0; i < quiets->count; i++)
            if (quiets->list[i].number == by)
                snprintf(text, 200, "quieting %d (%s)", by, quiets->list[i].why);
        break;
    case HIDDEN_BY_MUTE:
        snprintf(text, 200, "%s is muted",
                 report_object(desk->session->engine, (struct object){-1, by}, object));
        break;
    case HIDDEN_BY_ROOM:
        snprintf(text, 200, "room %s", room_name((enum room)by));
        break;
    }
    return text;
}

static void
write_edge(struct watch_desk *desk, const struct event *event, const char *hidden)
{
    struct json *json = event_json(desk, event_name(event->kind));

    json_add(json, "finding", report_finding_json(desk->session->engine, event->finding));
    if (event->kind == EVENT_CLEARED)
        json_add_number(json, "lasted_s", round((double)event->lasted_ms / 100) / 10);
    if (*hidden)
        json_add_string(json, "held_back_by", hidden);
    json_add_string(json, "room", room_name(watcher_room(desk->watcher)));
    lines_write(desk->sinks.lines, json);
    json_free(json);
}

void
watch_on_edge(void *context, const struct event *event, enum hidden hidden, int by)
{
    struct watch_desk *desk = context;
    const struct finding *finding = event->finding;
    char text[200], object[REPORT_OBJECT_SIZE];

    watch_hidden_by(desk, hidden, by, text);
    if (desk->sinks.lines)
        write_edge(desk, event, text);
    if (desk->sinks.cue && hidden == HIDDEN_NOT &&
        finding->told_weight >= desk->session->file->tell.cue.from_weight)
        cue_send(desk->sinks.cue, event_name(event->kind), weight_name(finding->told_weight),
                 checks[finding->check]->id,
                 report_object(desk->session->engine, finding->object, object),
                 finding->verdict.says);
    desk->shared->changed(desk->shared->context);
}

void
watch_on_room(void *context, enum room from, enum room to, const char *why)
{
    struct watch_desk *desk = context;
    char line[300];

    snprintf(line, sizeof line, "room %s -> %s (%s): %s", room_name(from), room_name(to), why,
             room_rows[to].help);
    say(desk, "room", WEIGHT_NOTE, line);
    kept_room(desk->kept);
}

void
watch_on_trace(void *context, const struct finding *finding, enum life_state from,
               enum life_state to, const char *why)
{
    const struct watch_desk *desk = context;
    char object[REPORT_OBJECT_SIZE];

    if (desk->shared->options->trace)
        fprintf(stderr, "gainwarden: [%s] %s: %s -> %s (%s)\n", checks[finding->check]->id,
                report_object(desk->session->engine, finding->object, object),
                life_state_name(from), life_state_name(to), why);
}

const char *
watch_count_open(const struct watch_desk *desk, char line[200])
{
    const struct finding *const *findings;
    size_t count = engine_findings(desk->session->engine, &findings);
    size_t weights[WEIGHTS] = {0}, unknown = 0;

    for (size_t i = 0; i < count; i++)
        weights[findings[i]->verdict.weight] += findings[i]->accept < 0;
    for (int check = 0; check < CHECKS; check++)
        unknown += engine_count(desk->session->engine, check, OUTCOME_NOT_KNOWN);
    snprintf(line, 200, "%zu stop, %zu fix, %zu note, %zu not known", weights[WEIGHT_STOP],
             weights[WEIGHT_FIX], weights[WEIGHT_NOTE], unknown);
    return line;
}
