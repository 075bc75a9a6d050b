/* SPDX-License-Identifier: MIT */
/* What differs from a reference: the path gains, the loudest upwards first, and values by kind. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/json.h"
#include "base/output.h"
#include "core/need.h"
#include "report/compare.h"

enum { PATHS_SHOWN = 20, VALUES_SHOWN = 30 };

/* "input 7 Floor Tom into mix 3 Keys wedge" */
static const char *
path_name(const struct compare *compare, int input, int mix, char name[2 * REPORT_OBJECT_SIZE])
{
    char from[REPORT_OBJECT_SIZE], into[REPORT_OBJECT_SIZE];

    snprintf(name, (size_t)2 * REPORT_OBJECT_SIZE, "%s into %s",
             report_object(compare->now, (struct object){input, -1}, from),
             report_object(compare->now, (struct object){-1, mix}, into));
    return name;
}

/* ---- path gains ---- */

/* Of two that moved as far: as they stand on the desk. */
static int
by_rise(const void *one, const void *other)
{
    const struct compare_path *a = one, *b = other;
    bool fell = a->rise_db < 0;

    if (fell != (b->rise_db < 0))
        return fell ? 1 : -1;
    if (fabs(a->rise_db) != fabs(b->rise_db))
        return fabs(a->rise_db) > fabs(b->rise_db) ? -1 : 1;
    return a->input != b->input ? a->input - b->input : a->mix - b->mix;
}

struct compare_path *
compare_paths(const struct compare *compare)
{
    const struct offsets *offsets = compare->offsets;
    struct compare_path *list = need_memory(offsets->of[PATH_DIFFERS] + 1, sizeof *list);
    size_t count = 0;

    for (int input = 0; input < offsets->inputs; input++)
        for (int mix = 0; mix < offsets->mixes; mix++) {
            const struct path_pair *pair = offsets_path(offsets, input, mix);

            if (pair->same == PATH_DIFFERS)
                list[count++] =
                    (struct compare_path){input, mix, pair->is.sum_db - pair->was.sum_db};
        }
    qsort(list, count, sizeof *list, by_rise);
    return list;
}

const char *
compare_path_says(const struct compare *compare, const struct compare_path *path,
                  char line[COMPARE_LINE_SIZE])
{
    char name[2 * REPORT_OBJECT_SIZE];
    struct text text;

    text_init(&text, line, COMPARE_LINE_SIZE);
    text_add(&text, "%s: ", path_name(compare, path->input, path->mix, name));
    offset_path_says(&text, offsets_path(compare->offsets, path->input, path->mix));
    return line;
}

/* Where the sum of a path is not known, the first of them with the reason. */
static void
print_missed_path(const struct compare *compare)
{
    const struct offsets *offsets = compare->offsets;
    char name[2 * REPORT_OBJECT_SIZE], line[COMPARE_LINE_SIZE];

    if (offsets->miss_input < 0)
        return;
    snprintf(line, sizeof line, "not known, %s: %s: %s: %s",
             offsets->of[PATH_NOT_KNOWN] == 1 ? "the one" : "the first",
             path_name(compare, offsets->miss_input, offsets->miss_mix, name),
             compare_side(offsets->miss.before), offsets->miss.why);
    output_wrapped(2, 4, line);
}

static void
print_paths(const struct compare *compare)
{
    const struct offsets *offsets = compare->offsets;
    struct compare_path *list = compare_paths(compare);
    size_t differ = offsets->of[PATH_DIFFERS];
    size_t shown = compare->all || differ < PATHS_SHOWN ? differ : PATHS_SHOWN;
    char line[COMPARE_LINE_SIZE];

    output_format(0, 2, "\nPath gains, without filters: %zu differ, %zu agree, %zu not known",
                  differ, offsets->of[PATH_AGREES], offsets->of[PATH_NOT_KNOWN]);
    for (size_t i = 0; i < shown; i++)
        output_wrapped(2, 4, compare_path_says(compare, &list[i], line));
    if (shown < differ)
        report_more(differ - shown);
    print_missed_path(compare);
    free(list);
}

/* ---- values ---- */

/* The values of one kind under its name, as long as there is room; how many were printed. */
static size_t
print_kind(const struct compare *compare, enum difference_kind kind, size_t room)
{
    size_t printed = 0;

    if (compare->kinds[kind] == 0 || room == 0)
        return 0;
    printf("  %s (%zu)\n", difference_kind_name(kind), compare->kinds[kind]);
    for (size_t i = 0; i < compare->moved_count && printed < room; i++)
        if (compare->moved[i].stands == COMPARE_DIFFERS &&
            params[compare->moved[i].id].kind == kind) {
            compare_print(compare, &compare->moved[i]);
            printed++;
        }
    return printed;
}

static void
print_kinds(const struct compare *compare)
{
    size_t labels = compare->kinds[DIFFERENCE_OF_LABELS];
    size_t count = compare_kinds(compare) + (compare->all ? labels : 0), printed = 0;

    if (count == 0)
        output_format(0, 2, "\n%sothing differs in protection, structure, filters or routing.",
                      compare->unknown_count > 0 ? "Of what is known, n" : "N");
    else
        output_format(0, 2, "\nDiffers from the reference (%zu)", count);
    for (int kind = 0; kind < DIFFERENCE_KINDS; kind++)
        if (compare->all || kind != DIFFERENCE_OF_LABELS)
            printed += print_kind(compare, (enum difference_kind)kind,
                                  compare->all ? count : VALUES_SHOWN - printed);
    if (printed < count)
        report_more(count - printed);
}

static void
print_labels(const struct compare *compare)
{
    size_t labels = compare->all ? 0 : compare->kinds[DIFFERENCE_OF_LABELS];

    if (labels > 0)
        printf("\nBesides: %zu label%s: --all lists them\n", labels,
               labels == 1 ? " differs" : "s differ");
}

void
compare_reference_text(const struct compare *compare)
{
    print_paths(compare);
    print_kinds(compare);
    print_labels(compare);
}

/* ---- JSON ---- */

static void
add_gain(struct json *json, const char *key, double gain_db)
{
    if (gain_db == -HUGE_VAL)
        json_add_string(json, key, "-inf");
    else
        json_add_number(json, key, round(gain_db * 1000) / 1000); /* as levels are taken */
}

static struct json *
path_json(const struct compare *compare, int input, int mix)
{
    const struct path_pair *pair = offsets_path(compare->offsets, input, mix);
    struct json *json = json_new_object();
    char says[COMPARE_SAYS_SIZE];
    struct text text;

    text_init(&text, says, sizeof says);
    offset_path_says(&text, pair);
    json_add_number(json, "input", input + 1);
    json_add_number(json, "mix", mix + 1);
    add_gain(json, "from", pair->was.sum_db);
    add_gain(json, "to", pair->is.sum_db);
    json_add_string(json, "says", says);
    return json;
}

static struct json *
paths_json(const struct compare *compare)
{
    const struct offsets *offsets = compare->offsets;
    struct json *json = json_new_object(), *list = json_new_array();
    struct compare_path *differ = compare_paths(compare);

    json_add_number(json, "agree", (double)offsets->of[PATH_AGREES]);
    json_add_number(json, "closed", (double)offsets->of[PATH_CLOSED]);
    json_add_number(json, "not_known", (double)offsets->of[PATH_NOT_KNOWN]);
    for (size_t i = 0; i < offsets->of[PATH_DIFFERS]; i++)
        json_add(list, NULL, path_json(compare, differ[i].input, differ[i].mix));
    free(differ);
    json_add(json, "differ", list);
    if (offsets->miss_input >= 0)
        json_add(json, "first_not_known", compare_miss_json(&offsets->miss));
    return json;
}

void
compare_reference_json(const struct compare *compare, struct json *root)
{
    struct json *kinds = json_new_object();

    for (int kind = DIFFERENCE_OF_NOTHING + 1; kind < DIFFERENCE_KINDS; kind++)
        json_add_number(kinds, difference_kind_name((enum difference_kind)kind),
                        (double)compare->kinds[kind]);
    json_add_number(kinds, "folded", (double)compare->stands[COMPARE_FOLDED]);
    json_add_number(kinds, "asleep", (double)compare->stands[COMPARE_ASLEEP]);
    json_add(root, "path_gains", paths_json(compare));
    json_add(root, "kind_counts", kinds);
}
