/* What a recording keeps of a watch: all that came from outside, in the order it came. What follows
 * from it is not kept, because a replay finds it out anew. recording.h is the file.
 */
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/escape.h"
#include "base/json.h"
#include "show/saved_of.h"
#include "watch/desk_parts.h"

/* Wall time that runs apart from ours by so much was set, or is being drawn to the right time. */
static const double clock_off_s = 0.02;

static int64_t
now_ms(const struct watch_desk *desk)
{
    return loop_now_ms(desk->shared->loop) - desk->recording_ms;
}

/* ---- the first line ---- */

/* Where messages go to is nobody's business who replays it. */
static struct json *
show_json(const struct session *session)
{
    struct json *show = json_copy(session->file->json);

    json_remove(show, "tell");
    return show;
}

static void
add_saved(struct json *json, const char *key, const struct session *session,
          const struct desk *desk, int64_t at_ms)
{
    struct saved saved = saved_of(session, desk, at_ms);
    char *text = saved_file_text(&saved);

    json_add_string(json, key, text);
    free(text);
    desk_free(saved.desk);
}

/* Profile, show and approved desk. */
static void
add_files(struct json *json, const struct session *session)
{
    const struct desk *approved = engine_approved(session->engine);

    json_add(json, "profile", json_copy(session->profile->json));
    if (session->file)
        json_add(json, "show", show_json(session));
    if (approved)
        add_saved(json, "approved", session, approved, 0);
}

static void
add_reading(const struct watch_desk *desk, struct json *json)
{
    struct link_figures figures = link_figures(desk->link);
    struct json *reading = json_new_object();

    json_add_number(reading, "questions", (double)figures.questions.questions);
    json_add_number(reading, "asked", (double)figures.questions.asked);
    json_add_number(reading, "heard", (double)figures.questions.heard);
    json_add_number(reading, "asked_again", (double)figures.questions.asked_again);
    json_add_number(reading, "never_came", (double)figures.questions.never_came);
    json_add_number(reading, "took_ms", (double)figures.took_ms);
    json_add(json, "reading", reading);
}

/* What is known of the desk, of a recording that begins while it is watched. */
static void
add_desk(const struct watch_desk *desk, struct json *head)
{
    const struct engine *engine = desk->session->engine;

    if (!desk->read_once)
        return;
    add_saved(head, "desk", desk->session, engine_desk(engine), loop_now_ms(desk->shared->loop));
    json_add_string(head, "link", link_state_name(link_state(desk->link)));
    add_reading(desk, head);
}

static struct json *
head_json(struct watch_desk *desk)
{
    const struct session *session = desk->session;
    const struct engine *engine = session->engine;
    struct json *head = json_new_object();
    char host[300];

    desk->recording_ms = loop_now_ms(desk->shared->loop);
    desk->recording_s = round(clock_now_s() * 1000) / 1000;
    desk->recorded_day = clock_day();
    escape_clean(host, sizeof host, session->host);
    json_add_number(head, "recording_format", RECORDING_FORMAT);
    json_add_string(head, "version", GAINWARDEN_VERSION);
    json_add_number(head, "at_s", desk->recording_s);
    json_add_number(head, "offset_s", clock_offset_s());
    json_add_string(head, "host", host);
    json_add_number(head, "port", session->port);
    add_files(head, session);
    if (desk->kept.away || desk->read_once)
        json_add(head, "kept", watch_keep_snapshot(desk));
    if (engine_anchored(engine))
        add_saved(head, "anchor", session, engine_anchored(engine), desk->recording_ms);
    add_desk(desk, head);
    return head;
}

/* ---- the file ---- */

bool
watch_record_open(struct watch_desk *desk, struct problems *problems)
{
    const struct options *options = desk->shared->options;

    if (!options->record)
        return true;
    desk->recording =
        recording_open(options->record, (size_t)(options->record_mb * 1024 * 1024), problems);
    if (desk->recording && !recording_head(desk->recording, head_json(desk))) {
        problems_add(problems, "%s: cannot be written: %s", options->record, strerror(errno));
        watch_record_close(desk);
    }
    return desk->recording != NULL;
}

void
watch_record_close(struct watch_desk *desk)
{
    recording_close(desk->recording);
    desk->recording = NULL;
}

/* errno says why. The watch goes on. */
static void
give_up(struct watch_desk *desk)
{
    char line[500];

    snprintf(line, sizeof line, "the recording %s cannot be written (%s): it ends here",
             desk->shared->options->record, strerror(errno));
    watch_record_close(desk);
    watch_say(desk, line);
}

static void
follow_clock(struct watch_desk *desk)
{
    double ahead_s = clock_now_s() - desk->recording_s - (double)now_ms(desk) / 1000;

    if (fabs(ahead_s) < clock_off_s)
        return;
    watch_record(desk, RECORDED_CLOCK, json_new_number(round(clock_now_s() * 1000) / 1000));
    desk->recording_s += ahead_s;
}

void
watch_record_end(struct watch_desk *desk)
{
    if (!desk->recording)
        return;
    follow_clock(desk);
    if (!recording_write(desk->recording, now_ms(desk)))
        give_up(desk);
}

/* Not in the middle of a recall or a reading, which begin with what was before. */
void
watch_record_turn(struct watch_desk *desk)
{
    if (!desk->recording || !recording_is_full(desk->recording))
        return;
    if ((!watch_may_judge(desk) || link_state(desk->link) != LINK_STEADY ||
         watcher_settling(desk->watcher)) &&
        !recording_is_overfull(desk->recording))
        return;
    watch_record_end(desk);
    if (desk->recording && !recording_turn(desk->recording, head_json(desk)))
        give_up(desk);
}

/* ---- what happens ---- */

void
watch_record(struct watch_desk *desk, enum recorded_kind kind, struct json *what)
{
    if (desk->recording)
        recording_add(desk->recording, kind, now_ms(desk), what);
    else
        json_free(what);
}

void
watch_record_link(struct watch_desk *desk, enum link_state to, const char *why)
{
    struct json *line;
    char clean[300];

    if (!desk->recording)
        return;
    escape_clean(clean, sizeof clean, why ? why : "");
    line = recording_add(desk->recording, RECORDED_LINK, now_ms(desk),
                         json_new_string(link_state_name(to)));
    json_add_string(line, "why", clean);
    if (to == LINK_STEADY)
        add_reading(desk, line);
}

void
watch_record_day(struct watch_desk *desk, int day)
{
    if (!desk->recording || day == desk->recorded_day)
        return;
    desk->recorded_day = day;
    watch_record(desk, RECORDED_DAY, json_new_number(day));
}

void
watch_record_files(struct watch_desk *desk, const struct session *session, const char *said)
{
    struct json *files = json_new_object();
    char clean[600];

    escape_clean(clean, sizeof clean, said);
    add_files(files, session);
    json_add_string(files, "said", clean);
    watch_record(desk, RECORDED_FILES, files);
}

static void
on_packet(void *context, const uint8_t *bytes, size_t length, int64_t woke_ms)
{
    struct watch_desk *desk = context;
    int64_t t_ms = woke_ms - desk->recording_ms;

    if (desk->recording && length <= RECORDING_PACKET_MOST)
        recording_packet(desk->recording, t_ms > 0 ? t_ms : 0, bytes, length);
}

static void
on_read(void *context)
{
    watch_record(context, RECORDED_READ, NULL);
}

static void
on_expired(void *context, int64_t before_ms)
{
    struct watch_desk *desk = context;

    watch_record(desk, RECORDED_EXPIRED, json_new_number((double)(before_ms - desk->recording_ms)));
}

const struct link_tap *
watch_record_tap(const struct watch_desk *desk)
{
    static const struct link_tap tap = {on_packet, on_read, on_expired};

    return desk->recording ? &tap : NULL;
}
