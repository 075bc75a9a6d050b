/* SPDX-License-Identifier: MIT */
#include "watch/record.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/escape.h"
#include "base/json.h"
#include "core/need.h"

/* Counts of what was turned down are written that often, and before whatever could rest on them. */
enum { REJECTS_MS = 1000 };

/* Wall time that runs apart from ours by so much was set, or is being drawn to the right time. */
static const double clock_off_s = 0.02;

struct record {
    struct loop *loop;
    record_head_fn *head;
    void *context;
    const char *path;            /* of the options */
    struct recording *recording; /* NULL: nobody records, or it has ended */
    int64_t begun_ms;            /* when its file began, */
    double begun_s;              /* and the wall time then */
    int day;                     /* that it knows of */
    struct link_rejects rejects; /* since the last line of them, */
    bool rejected;               /* whether there are any, */
    int64_t rejects_ms;          /* and when that line was */
    struct link_tap tap;
    char line[500]; /* why it has ended */
};

static int64_t
now_ms(const struct record *record)
{
    return loop_now_ms(record->loop) - record->begun_ms;
}

/* ---- what the link tells ---- */

static void
on_packet(void *context, const uint8_t *bytes, size_t length, int64_t woke_ms)
{
    struct record *record = context;
    int64_t t_ms = woke_ms - record->begun_ms;

    if (record->recording && length <= RECORDING_PACKET_MOST)
        recording_packet(record->recording, t_ms > 0 ? t_ms : 0, bytes, length);
}

/* Whoever floods us does not fill the disk. */
static void
on_rejected(void *context, struct link_rejects before, struct link_rejects after)
{
    struct record *record = context;

    for (size_t i = 0; i < LINK_REASONS; i++) {
        uint64_t more = *rejects_count(&after, i) - *rejects_count(&before, i);

        *rejects_count(&record->rejects, i) += more;
        record->rejected |= more > 0;
    }
}

static void
write_rejects(struct record *record)
{
    struct json *counts;

    if (!record->recording || !record->rejected)
        return;
    counts = json_new_object();
    for (size_t i = 0; i < LINK_REASONS; i++)
        if (*rejects_count(&record->rejects, i) > 0)
            json_add_number(counts, rejects_reason(i), (double)*rejects_count(&record->rejects, i));
    recording_add(record->recording, RECORDED_REJECTED, now_ms(record), counts);
    record->rejects = (struct link_rejects){.strangers = 0};
    record->rejected = false;
    record->rejects_ms = now_ms(record);
}

static void
on_read(void *context)
{
    record_note(context, RECORDED_READ, NULL);
}

static void
on_expired(void *context, int64_t before_ms)
{
    struct record *record = context;

    record_note(record, RECORDED_EXPIRED, json_new_number((double)(before_ms - record->begun_ms)));
}

const struct link_tap *
record_tap(const struct record *record)
{
    return record->recording ? &record->tap : NULL;
}

/* ---- the file ---- */

struct record *
record_new(struct loop *loop, record_head_fn *head, void *context)
{
    struct record *record = need_memory(1, sizeof *record);

    *record = (struct record){.loop = loop,
                              .head = head,
                              .context = context,
                              .tap = {on_packet, on_rejected, on_read, on_expired, record}};
    return record;
}

void
record_free(struct record *record)
{
    if (!record)
        return;
    record_close(record);
    free(record);
}

static struct json *
head_json(struct record *record)
{
    record->begun_ms = loop_now_ms(record->loop);
    record->begun_s = round(clock_now_s() * 1000) / 1000;
    record->day = clock_day();
    return record->head(record->context, record->begun_ms, record->begun_s);
}

bool
record_open(struct record *record, const struct options *options, struct problems *problems)
{
    if (!options->record)
        return true;
    record->path = options->record;
    record->recording =
        recording_open(record->path, (size_t)(options->record_mb * 1024 * 1024), problems);
    if (record->recording && !recording_head(record->recording, head_json(record))) {
        problems_add(problems, "%s: cannot be written: %s", record->path, strerror(errno));
        record_close(record);
    }
    return record->recording != NULL;
}

void
record_close(struct record *record)
{
    recording_close(record->recording);
    record->recording = NULL;
}

/* errno says why. */
static const char *
give_up(struct record *record)
{
    snprintf(record->line, sizeof record->line,
             "the recording %s cannot be written (%s): it ends here", record->path,
             strerror(errno));
    record_close(record);
    return record->line;
}

static void
follow_clock(struct record *record)
{
    double ahead_s = clock_now_s() - record->begun_s - (double)now_ms(record) / 1000;

    if (fabs(ahead_s) < clock_off_s)
        return;
    record_note(record, RECORDED_CLOCK, json_new_number(round(clock_now_s() * 1000) / 1000));
    record->begun_s += ahead_s;
}

const char *
record_end(struct record *record)
{
    if (!record->recording)
        return NULL;
    follow_clock(record);
    if (now_ms(record) - record->rejects_ms >= REJECTS_MS)
        write_rejects(record);
    return recording_write(record->recording, now_ms(record)) ? NULL : give_up(record);
}

const char *
record_turn(struct record *record, bool calm)
{
    const char *ended;

    if (!record->recording || !recording_is_full(record->recording) ||
        (!calm && !recording_is_overfull(record->recording)))
        return NULL;
    ended = record_end(record);
    if (ended || recording_turn(record->recording, head_json(record)))
        return ended;
    return give_up(record);
}

/* ---- what happens ---- */

void
record_note(struct record *record, enum recorded_kind kind, struct json *what)
{
    write_rejects(record);
    if (record->recording)
        recording_add(record->recording, kind, now_ms(record), what);
    else
        json_free(what);
}

void
record_add_reading(struct json *json, const struct link_figures *figures)
{
    struct json *reading = json_new_object();

    json_add_number(reading, "questions", (double)figures->questions.questions);
    json_add_number(reading, "asked", (double)figures->questions.asked);
    json_add_number(reading, "heard", (double)figures->questions.heard);
    json_add_number(reading, "asked_again", (double)figures->questions.asked_again);
    json_add_number(reading, "never_came", (double)figures->questions.never_came);
    json_add_number(reading, "took_ms", (double)figures->took_ms);
    json_add(json, "reading", reading);
}

void
record_link(struct record *record, enum link_state to, const char *why,
            const struct link_figures *reading)
{
    struct json *line;
    char clean[300];

    if (!record->recording)
        return;
    write_rejects(record);
    escape_clean(clean, sizeof clean, why ? why : "");
    line = recording_add(record->recording, RECORDED_LINK, now_ms(record),
                         json_new_string(link_state_name(to)));
    json_add_string(line, "why", clean);
    if (reading)
        record_add_reading(line, reading);
}

void
record_day(struct record *record, int day)
{
    if (!record->recording || day == record->day)
        return;
    record->day = day;
    record_note(record, RECORDED_DAY, json_new_number(day));
}
