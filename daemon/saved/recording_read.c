/* SPDX-License-Identifier: MIT */
#include <errno.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/fingerprint.h"
#include "base/link_state.h"
#include "base/whole_file.h"
#include "core/need.h"
#include "saved/parts.h"
#include "saved/recording.h"

enum {
    FILE_MOST = 1 << 30,
    PLACE_SIZE = 1100,
    BACK_MOST_MS = 60 * 1000 /* a packet's time is when the watch woke up for it */
};

static const double longest_ms = 100.0 * 86400 * 1000;

#define LATEST_S 4e9

struct recording_reader {
    const char *path; /* of the caller */
    char place[PLACE_SIZE];
    char *text; /* owned: the file, each line ended by NUL */
    size_t length, at;
    size_t number; /* of the line in hand, from 1 */
    size_t torn;
    uint64_t sum;
    int64_t latest_ms;
    struct json *head, *line; /* owned */
};

/* ---- lines and their sums ---- */

static const char *
place(struct recording_reader *reader)
{
    snprintf(reader->place, sizeof reader->place, "%s:%zu", reader->path, reader->number);
    return reader->place;
}

/* Ends the next line with NUL. NULL behind the last whole one. */
static char *
take_line(struct recording_reader *reader, size_t *length)
{
    char *line = reader->text + reader->at;
    char *end = memchr(line, '\n', reader->length - reader->at);

    if (reader->at == reader->length)
        return NULL;
    reader->number++;
    if (!end) {
        reader->torn = reader->number;
        return NULL;
    }
    *end = '\0';
    *length = (size_t)(end - line);
    reader->at += *length + 1;
    return line;
}

/* Checks the sum, and goes on to the next line's. */
static bool
check_sum(struct recording_reader *reader, const char *line, size_t length)
{
    enum { BEHIND = sizeof RECORDING_SUM - 1 + RECORDING_DIGITS + sizeof RECORDING_SUM_END - 1 };
    char sum[sizeof RECORDING_SUM + RECORDING_DIGITS + sizeof RECORDING_SUM_END];
    char *own;

    if (length < BEHIND || strlen(line) != length)
        return false;
    own = need_part(line, length - BEHIND);
    reader->sum = fingerprint_add(reader->sum, own);
    free(own);
    snprintf(sum, sizeof sum, RECORDING_SUM "%016" PRIx64 RECORDING_SUM_END, reader->sum);
    return strcmp(line + length - BEHIND, sum) == 0;
}

static struct json *
parse_line(struct recording_reader *reader, const char *line, size_t length,
           struct problems *problems)
{
    if (check_sum(reader, line, length))
        return json_parse(line, length, place(reader), problems);
    problems_add(problems,
                 "%s: the line is not as it was recorded (its sum is another): the file was edited "
                 "or damaged",
                 place(reader));
    return NULL;
}

/* ---- what a line says ---- */

/* Whether such a number is there; a problem when it is not. */
static bool
need_number(const struct where *where, double least, double most)
{
    double number = where_number(where);
    bool within = number >= least && number <= most;

    if (where_need(where, JSON_NUMBER, true) && !within)
        where_problem(where, "must be from %.0f to %.0f", least, most);
    return within;
}

static int
digit(char c)
{
    return c >= '0' && c <= '9' ? c - '0' : c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

size_t
recording_bytes(const char *digits, uint8_t bytes[RECORDING_PACKET_MOST])
{
    size_t length = 0;

    for (; *digits && length < RECORDING_PACKET_MOST; digits += 2) {
        int high = digit(digits[0]), low = high < 0 ? -1 : digit(digits[1]);

        if (low < 0)
            return 0;
        bytes[length++] = (uint8_t)(high << 4 | low);
    }
    return *digits ? 0 : length;
}

static void
check_packets(const struct where *where)
{
    static uint8_t bytes[RECORDING_PACKET_MOST];

    for (struct where one = where_first(where); one.json; where_next(&one)) {
        const char *text = where_text(&one);

        if (!text || (*text && recording_bytes(text, bytes) == 0))
            where_problem(&one, "must be the bytes of a packet in hexadecimal");
    }
}

static void
check_figures(const struct where *reading)
{
    static const char *const figures[] = {"questions",   "asked",      "heard",
                                          "asked_again", "never_came", "took_ms"};

    for (size_t i = 0; i < sizeof figures / sizeof *figures; i++) {
        struct where figure = where_key(reading, figures[i]);

        need_number(&figure, 0, 1e12);
    }
}

static void
check_link_state(const struct json *state, const struct where *where)
{
    enum link_state found;

    if (!link_state_find(json_string(state), &found))
        where_problem(where, "\"%s\" is no link state", json_string(state));
}

static void
check_link(const struct json *state, const struct where *line)
{
    struct where why = where_key(line, "why"), reading = where_key(line, "reading");

    check_link_state(state, line);
    where_need(&why, JSON_STRING, true);
    if (where_need(&reading, JSON_OBJECT, false))
        check_figures(&reading);
}

static void
check_files(const struct where *files)
{
    struct where profile = where_key(files, "profile"), show = where_key(files, "show"),
                 stage = where_key(files, "stage"), approved = where_key(files, "approved"),
                 proved = where_key(files, "proved"), said = where_key(files, "said"),
                 same_link = where_key(files, "same_link");

    where_need(&profile, JSON_OBJECT, true);
    where_need(&show, JSON_OBJECT, false);
    where_need(&stage, JSON_OBJECT, false);
    where_need(&approved, JSON_STRING, false);
    where_need(&proved, JSON_STRING, false);
    where_need(&said, JSON_STRING, true);
    where_need(&same_link, JSON_BOOL, false);
}

static void
check_rejected(const struct where *reasons)
{
    for (struct where one = where_first(reasons); one.json; where_next(&one))
        need_number(&one, 1, 1e15);
}

static void
check_what(const struct recorded *recorded, const struct where *line)
{
    enum recorded_kind kind = recorded->kind;
    const struct recorded_shape *shape = &recorded_shapes[kind];
    struct where what = where_key(line, shape->key);

    if (!where_is(&what, shape->kind))
        where_problem(&what, "must be %s", json_kind_name(shape->kind));
    else if (shape->kind == JSON_NUMBER)
        need_number(&what, shape->least, shape->most);
    else if (kind == RECORDED_PACKETS)
        check_packets(&what);
    else if (kind == RECORDED_REJECTED)
        check_rejected(&what);
    else if (kind == RECORDED_LINK)
        check_link(what.json, line);
    else if (kind == RECORDED_FILES)
        check_files(&what);
}

const char *const recording_other_keys[] = {"t", "until", "more", "why", "reading", "sum", NULL};

static bool
is_other_key(const char *key)
{
    for (const char *const *other = recording_other_keys; *other; other++)
        if (strcmp(*other, key) == 0)
            return true;
    return false;
}

/* Which kind it is; more than one, or none that is known, is a problem. */
static void
find_kind(struct recorded *recorded, const struct where *line)
{
    recorded->kind = RECORDED_NOTHING;
    for (struct where one = where_first(line); one.json; where_next(&one)) {
        enum recorded_kind kind = 0;

        if (is_other_key(one.key))
            continue;
        while (kind < RECORDED_NOTHING && strcmp(recorded_shapes[kind].key, one.key) != 0)
            kind++;
        if (kind == RECORDED_NOTHING || recorded->kind != RECORDED_NOTHING) {
            where_problem(&one, "is not known here; the recording may be of a newer version");
            return;
        }
        recorded->kind = kind;
        recorded->what = one.json;
    }
}

/* Takes the line in hand apart. */
static void
understand(struct recording_reader *reader, struct recorded *recorded, struct problems *problems)
{
    struct where where = where_file(place(reader), reader->line, problems);
    struct where t = where_key(&where, "t"), until = where_key(&where, "until"),
                 more = where_key(&where, "more");

    *recorded = (struct recorded){.line = reader->line, .number = reader->number};
    if (!where_is(&where, JSON_OBJECT)) {
        where_problem(&where, "must be an object");
        return;
    }
    find_kind(recorded, &where);
    if (need_number(&t, 0, longest_ms))
        recorded->t_ms = (int64_t)where_number(&t);
    if (until.json && need_number(&until, 0, longest_ms))
        recorded->until_ms = (int64_t)where_number(&until);
    if (recorded->t_ms < reader->latest_ms - BACK_MOST_MS)
        where_problem(&where, "t goes back by more than %d s", BACK_MOST_MS / 1000);
    recorded->more = where_need(&more, JSON_BOOL, false) && json_bool(more.json);
    if (recorded->until_ms < recorded->t_ms)
        recorded->until_ms = recorded->t_ms;
    if (reader->latest_ms < recorded->until_ms)
        reader->latest_ms = recorded->until_ms;
    if (recorded->kind != RECORDED_NOTHING)
        check_what(recorded, &where);
}

static bool
next(struct recording_reader *reader, struct recorded *recorded, struct problems *problems)
{
    size_t length;
    char *line = take_line(reader, &length);

    json_free(reader->line);
    reader->line = line ? parse_line(reader, line, length, problems) : NULL;
    if (line)
        line[length] = '\n'; /* to be read again */
    if (reader->line)
        understand(reader, recorded, problems);
    return reader->line != NULL;
}

/* ---- the head ---- */

static void
take_figure(const struct field_given *given)
{
    need_number(given->where, given->field->least, given->field->most);
}

static void
take_state(const struct field_given *given)
{
    check_link_state(given->where->json, given->where);
}

static void
take_reading(const struct field_given *given)
{
    check_figures(given->where);
}

/* Where the desk was read already. */
enum { TURN_READING = FIELD_TURNS, TURN_STATE };

const struct field recording_head_fields[] = {
    FIELD_FILE_FORMAT("recording_format", RECORDING_FORMAT),
    {"version", FIELD_TEXT, NULL, .need = FIELD_MUST},
    {"at_s", FIELD_NUMBER, NULL, .need = FIELD_MUST, .most = LATEST_S, .take = take_figure},
    {"offset_s", FIELD_NUMBER, NULL, .need = FIELD_MUST, .least = -86400, .most = 86400,
     .take = take_figure},
    {"host", FIELD_TEXT, NULL, .need = FIELD_MUST},
    {"port", FIELD_NUMBER, NULL, .need = FIELD_MUST, .most = 65535, .take = take_figure},
    {"profile", FIELD_BY_NAME, NULL, .need = FIELD_MUST},
    {"show", FIELD_BY_NAME, NULL, .need = FIELD_MAY},
    {"stage", FIELD_BY_NAME, NULL, .need = FIELD_MAY},
    {"desk", FIELD_TEXT, NULL, .need = FIELD_MAY},
    {"approved", FIELD_TEXT, NULL, .need = FIELD_MAY},
    {"proved", FIELD_TEXT, NULL, .need = FIELD_MAY},
    {"anchor", FIELD_TEXT, NULL, .need = FIELD_MAY},
    {"kept", FIELD_BY_NAME, NULL, .need = FIELD_MAY},
    {"link", FIELD_SPELT, NULL, .need = FIELD_MUST, .turn = TURN_STATE, .take = take_state},
    {"reading", FIELD_BY_NAME, NULL, .need = FIELD_MUST, .turn = TURN_READING,
     .take = take_reading},
    {"sum", FIELD_TEXT, NULL, .turn = TURN_STATE + 1},
    {.title = "gainwarden recording"},
};

static void
check_head(const struct where *head)
{
    const struct field *fields = recording_head_fields;

    if (!fields_read(fields, head, NULL, NULL) || !json_get(head->json, "desk"))
        return;
    fields_read_turn(fields, TURN_READING, head, NULL, NULL);
    fields_read_turn(fields, TURN_STATE, head, NULL, NULL);
}

/* Another version's head has another shape: its number is looked at before anything else. */
static bool
check_format(struct recording_reader *reader, const char *line, struct problems *problems)
{
    const char *number = line ? line + sizeof RECORDING_BEGIN - 1 : NULL;
    if (!line && reader->torn > 0 &&
        strncmp(reader->text, RECORDING_BEGIN, sizeof RECORDING_BEGIN - 1) == 0)
        problems_add(problems, "%s: the first line is torn: nothing can be replayed",
                     place(reader));
    else if (!line || strncmp(line, RECORDING_BEGIN, sizeof RECORDING_BEGIN - 1) != 0)
        problems_add(problems, "%s:1: is no recording of a watch", reader->path);
    else if (strtod(number, NULL) != RECORDING_FORMAT)
        problems_add(problems, "%s:1: recording_format is %.*s; this version reads %d",
                     reader->path, (int)strcspn(number, ",}"), number, RECORDING_FORMAT);
    else
        return true;
    return false;
}

static bool
read_head(struct recording_reader *reader, struct problems *problems)
{
    size_t length = 0;
    char *line = take_line(reader, &length);
    struct where where;

    if (!check_format(reader, line, problems))
        return false;
    reader->head = parse_line(reader, line, length, problems);
    line[length] = '\n';
    where = where_file(place(reader), reader->head, problems);
    if (reader->head)
        check_head(&where);
    return problems->count == 0;
}

/* ---- all of it ---- */

/* Back to the line behind the head. */
static void
rewind_lines(struct recording_reader *reader, size_t at, uint64_t sum)
{
    reader->at = at;
    reader->sum = sum;
    reader->number = 1;
    reader->latest_ms = 0;
}

static bool
read_all(struct recording_reader *reader, struct problems *problems)
{
    struct recorded recorded;
    size_t at;
    uint64_t sum;

    if (!read_head(reader, problems))
        return false;
    at = reader->at;
    sum = reader->sum;
    while (problems->count == 0 && next(reader, &recorded, problems))
        ;
    rewind_lines(reader, at, sum);
    return problems->count == 0;
}

struct recording_reader *
recording_parse(char *text, size_t length, const char *name, struct problems *problems)
{
    struct recording_reader *reader = need_memory(1, sizeof *reader);

    reader->path = name;
    reader->sum = FINGERPRINT_BEGIN;
    reader->text = text;
    reader->length = length;
    if (read_all(reader, problems))
        return reader;
    recording_reader_free(reader);
    return NULL;
}

struct recording_reader *
recording_read(const char *path, struct problems *problems)
{
    size_t length;
    char *text = whole_file_read(path, FILE_MOST, &length);

    if (text)
        return recording_parse(text, length, path, problems);
    problems_add(problems, "%s: cannot be read: %s", path, whole_file_why(errno));
    return NULL;
}

void
recording_reader_free(struct recording_reader *reader)
{
    if (!reader)
        return;
    json_free(reader->head);
    json_free(reader->line);
    free(reader->text);
    free(reader);
}

const struct json *
recording_reader_head(const struct recording_reader *reader)
{
    return reader->head;
}

size_t
recording_reader_torn(const struct recording_reader *reader)
{
    return reader->torn;
}

bool
recording_next(struct recording_reader *reader, struct recorded *recorded)
{
    struct problems problems = {0};
    bool good;

    good = next(reader, recorded, &problems); /* which read it before, and found nothing wrong */
    if (problems.count > 0)
        abort();
    problems_release(&problems);
    return good;
}
