/* SPDX-License-Identifier: MIT */
#include "saved/file.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/atomic_file.h"
#include "base/fingerprint.h"
#include "base/no_memory.h"
#include "core/need.h"
#include "saved/parts.h"

const char *const saved_supplies[] = {"heard", "fixed", "absent", NULL};
const char *const saved_limiter_places[] = {"before-master", "after-master", NULL};

void
saved_free(struct saved *saved)
{
    if (!saved)
        return;
    desk_free(saved->desk);
    free(saved);
}

void
saved_digest(const char *text, const char *digits, char digest[SAVED_DIGEST_SIZE])
{
    char *copy = need_text(text);

    if (digits)
        memset(copy + (digits - text), '0', strnlen(digits, SAVED_DIGEST_SIZE - 1));
    snprintf(digest, SAVED_DIGEST_SIZE, "%016" PRIx64, fingerprint_add(FINGERPRINT_BEGIN, copy));
    free(copy);
}

void
saved_sign(char *text)
{
    char *digits = strstr(text, SAVED_DIGEST_KEY) + strlen(SAVED_DIGEST_KEY);
    char digest[SAVED_DIGEST_SIZE];

    saved_digest(text, digits, digest);
    memcpy(digits, digest, SAVED_DIGEST_SIZE - 1);
}

/* ---- writing ---- */

/* What the desk holds is valid UTF-8. */
void
saved_write_string(FILE *to, const char *before, const char *text)
{
    fprintf(to, "%s\"", before);
    for (; *text; text++) {
        if (*text == '"' || *text == '\\')
            fprintf(to, "\\%c", *text);
        else if ((unsigned char)*text < 0x20)
            fprintf(to, "\\u%04x", (unsigned)*text);
        else
            fputc(*text, to);
    }
    fputc('"', to);
}

/* As few digits as give the same number again. */
void
saved_write_number(FILE *to, const char *before, double number)
{
    char digits[40] = "\"-inf\"";

    for (int precision = 6; precision <= 17 && number != -HUGE_VAL; precision++) {
        snprintf(digits, sizeof digits, "%.*g", precision, number);
        if (strtod(digits, NULL) == number)
            break;
    }
    fprintf(to, "%s%s", before, digits);
}

typedef void write_cell_fn(FILE *to, const struct saved *saved, enum param_id id, int row,
                           int column);

static void
write_value(FILE *to, const struct saved *saved, enum param_id id, int row, int column)
{
    double number = value_last_heard(desk_value(saved->desk, id, row, column));

    if (params[id].unit == UNIT_TEXT)
        saved_write_string(to, "", desk_text(saved->desk, id, row, column));
    else if (params[id].unit == UNIT_WORD)
        saved_write_string(to, "", param_words(id)[(int)number]);
    else if (params[id].unit == UNIT_SWITCH)
        fputs(number != 0 ? "true" : "false", to);
    else
        saved_write_number(to, "", number);
}

/* How long before `at` it was heard. */
static int64_t
age_ms(const struct saved *saved, const struct value *value)
{
    return saved->now_ms > value->heard_ms ? saved->now_ms - value->heard_ms : 0;
}

static void
write_age_ms(FILE *to, int64_t ms)
{
    fprintf(to, "%" PRId64 ".%03d", ms / 1000, (int)(ms % 1000));
}

static void
write_age(FILE *to, const struct saved *saved, enum param_id id, int row, int column)
{
    write_age_ms(to, age_ms(saved, desk_value(saved->desk, id, row, column)));
}

/* One array, or one for each row where the parameter has a second index. */
static void
write_cells(FILE *to, const struct saved *saved, enum param_id id, write_cell_fn *cell)
{
    bool nested = params[id].column != INDEX_NONE;

    fputc('[', to);
    for (int row = 0; row < desk_rows(saved->desk, id); row++) {
        fputs(row == 0 ? "" : nested ? ",\n        " : ", ", to);
        if (nested)
            fputc('[', to);
        for (int column = 0; column < desk_columns(saved->desk, id); column++) {
            fputs(column > 0 ? ", " : "", to);
            if (desk_value(saved->desk, id, row, column)->state == VALUE_UNKNOWN)
                fputs("null", to);
            else
                cell(to, saved, id, row, column);
        }
        if (nested)
            fputc(']', to);
    }
    fputc(']', to);
}

/* What the values of one parameter have in common. */
struct summary {
    size_t heard, stale; /* how many are known, or were; of those, stale ones */
    bool same_age;
    int64_t age_ms;
};

static struct summary
summarize(const struct saved *saved, enum param_id id)
{
    struct summary summary = {.same_age = true};

    for (int row = 0; row < desk_rows(saved->desk, id); row++)
        for (int column = 0; column < desk_columns(saved->desk, id); column++) {
            const struct value *value = desk_value(saved->desk, id, row, column);
            int64_t age = age_ms(saved, value);

            if (value->state == VALUE_UNKNOWN)
                continue;
            if (summary.heard++ == 0)
                summary.age_ms = age;
            summary.same_age &= summary.age_ms == age;
            summary.stale += value->state == VALUE_STALE;
        }
    return summary;
}

static void
write_stale(FILE *to, const struct saved *saved, enum param_id id)
{
    const char *between = "";

    fputc('[', to);
    for (int row = 0; row < desk_rows(saved->desk, id); row++)
        for (int column = 0; column < desk_columns(saved->desk, id); column++) {
            if (desk_value(saved->desk, id, row, column)->state != VALUE_STALE)
                continue;
            if (params[id].column == INDEX_NONE)
                fprintf(to, "%s%d", between, row + 1);
            else
                fprintf(to, "%s[%d, %d]", between, row + 1, column + 1);
            between = ", ";
        }
    fputc(']', to);
}

/* When each was heard, and what is stale. */
static void
write_hearing(FILE *to, const struct saved *saved, enum param_id id)
{
    struct summary summary = summarize(saved, id);

    if (summary.heard == 0)
        return;
    fputs(",\n      \"heard_s\": ", to);
    if (summary.same_age)
        write_age_ms(to, summary.age_ms);
    else
        write_cells(to, saved, id, write_age);
    if (summary.stale == 0)
        return;
    fputs(",\n      \"stale\": ", to);
    if (summary.stale == summary.heard)
        fputs("true", to);
    else
        write_stale(to, saved, id);
}

/* End stops and step of the control, where the profile tells them. */
static void
write_control(FILE *to, const struct saved *saved, enum param_id id)
{
    struct travel travel = desk_travel(saved->desk, id);

    if (!isnan(travel.least) && !isnan(travel.most)) {
        saved_write_number(to, ", \"range\": [", travel.least);
        saved_write_number(to, ", ", travel.most);
        fputc(']', to);
    }
    if (desk_step(saved->desk, id) > 0)
        saved_write_number(to, ", \"step\": ", desk_step(saved->desk, id));
}

static void
write_param(FILE *to, const struct saved *saved, enum param_id id, const char *between)
{
    enum supply supply = desk_supplied(saved->desk, id);

    fprintf(to, "%s\n    \"%s\": {\n      \"unit\": \"%s\", \"supplied\": \"%s\"", between,
            params[id].name, unit_name(params[id].unit), saved_supplies[supply - SUPPLY_HEARD]);
    write_control(to, saved, id);
    fputs(",\n      \"values\": ", to);
    write_cells(to, saved, id, write_value);
    if (supply == SUPPLY_HEARD)
        write_hearing(to, saved, id);
    fputs(" }", to);
}

static void
write_head(FILE *to, const struct saved *saved)
{
    fprintf(to, "{\n  \"saved_format\": %d,\n  " SAVED_DIGEST_KEY "%016d\"", SAVED_FORMAT, 0);
    saved_write_string(to, ",\n  \"desk\": ", saved->desk_name);
    saved_write_string(to, ",\n  \"show\": ", saved->show);
    saved_write_string(to, ",\n  \"at\": ", saved->at);
    if (saved->approved) {
        saved_write_string(to, ",\n  \"approved\": { \"at\": ", saved->approved_at);
        saved_write_string(to, ", \"by\": ", saved->by);
        saved_write_string(to, ", \"note\": ", saved->note);
        fputs(" }", to);
    }
}

static void
write_filters(FILE *to, const struct desk *desk)
{
    struct desk_filters filters = desk_filters(desk);

    saved_write_number(to, "  \"filters\": { \"rate_hz\": ", filters.rate_hz);
    fprintf(to, ", \"width\": \"%s\"", filters.width_in_octaves ? "octaves" : "q");
    if (filters.graphic_octaves > 0)
        saved_write_number(to, ", \"graphic_octaves\": ", filters.graphic_octaves);
    if (filters.limiter != LIMITER_PLACE_UNKNOWN)
        fprintf(to, ", \"limiter\": \"%s\"",
                saved_limiter_places[filters.limiter - LIMITER_BEFORE_MASTER]);
    fputs(" }", to);
}

void
saved_write_desk(FILE *to, const struct saved *saved)
{
    const char *between = "";

    write_filters(to, saved->desk);
    fputs(",\n  \"counts\": { ", to);
    for (enum index_kind kind = INDEX_NONE + 1; kind < INDEX_SPECTRA; kind++) {
        fprintf(to, "%s\"%s\": %d", between, index_name(kind), desk_count(saved->desk, kind));
        between = ", ";
    }
    fputs(" },\n  \"values\": {", to);
    between = "";
    for (enum param_id id = 0; id < PARAMS; id++) {
        if (desk_supplied(saved->desk, id) == SUPPLY_NONE)
            continue;
        write_param(to, saved, id, between);
        between = ",";
    }
    fputs("\n  }\n", to);
}

char *
saved_file_text(const struct saved *saved)
{
    char *text = NULL;
    size_t length = 0;
    FILE *to = no_memory_stream(&text, &length);

    write_head(to, saved);
    fputs(",\n", to);
    saved_write_desk(to, saved);
    fputs("}\n", to);
    no_memory_stream_end(to);
    saved_sign(text);
    return text;
}

bool
saved_file_write(const struct saved *saved, const char *path)
{
    char *text = saved_file_text(saved);
    bool good = atomic_file_write(path, text, strlen(text), 0644);

    free(text);
    return good;
}
