/* SPDX-License-Identifier: MIT */
/* What differs from a reference: the path gains, what is another offset alone, and values by kind.
 */
#include <math.h>
#include <stdio.h>

#include "base/json.h"
#include "base/output.h"
#include "report/compare.h"

enum { PATHS_SHOWN = 20, VALUES_SHOWN = 30, LINE_SIZE = 1200 };

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

static void
print_path(const struct compare *compare, int input, int mix)
{
    char name[2 * REPORT_OBJECT_SIZE], line[LINE_SIZE], says[COMPARE_SAYS_SIZE];
    struct text text;

    text_init(&text, says, sizeof says);
    offset_path_says(&text, offsets_path(compare->offsets, input, mix));
    snprintf(line, sizeof line, "%s: %s", path_name(compare, input, mix, name), says);
    output_wrapped(2, 4, line);
}

/* Where the sum of a path is not known, the first of them with the reason. */
static void
print_missed_path(const struct compare *compare)
{
    const struct offsets *offsets = compare->offsets;
    char name[2 * REPORT_OBJECT_SIZE], line[LINE_SIZE];

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
    size_t differ = offsets->of[PATH_DIFFERS], printed = 0;

    output_format(0, 2, "\nPath gains, without filters: %zu differ, %zu agree, %zu not known",
                  differ, offsets->of[PATH_AGREES], offsets->of[PATH_NOT_KNOWN]);
    for (int input = 0; input < offsets->inputs; input++)
        for (int mix = 0; mix < offsets->mixes; mix++)
            if (offsets_path(offsets, input, mix)->same == PATH_DIFFERS &&
                (compare->all || printed < PATHS_SHOWN)) {
                print_path(compare, input, mix);
                printed++;
            }
    if (printed < differ)
        report_more(differ - printed);
    print_missed_path(compare);
}

/* ---- offsets ---- */

/* "input 1 Kick In, one preamp with inputs 4 and 9", "mix 3 Keys wedge" */
static void
name_offset(const struct compare *compare, const struct offset *offset, struct text *text)
{
    const struct offsets *offsets = compare->offsets;
    char object[REPORT_OBJECT_SIZE];
    bool begun = false;

    text_add(text, "%s",
             report_object(compare->now, (struct object){offset->input, offset->mix}, object));
    for (int input = 0; offset->input >= 0 && input < offsets->inputs; input++)
        if (input != offset->input && offsets->preamp_of[input] == offset->input) {
            text_add(text, begun ? ", %d" : ", one preamp with input %d", input + 1);
            begun = true;
        }
}

static void
print_offset(const struct compare *compare, const struct offset *offset)
{
    char line[LINE_SIZE];
    struct text text;

    text_init(&text, line, sizeof line);
    name_offset(compare, offset, &text);
    text_add(&text, ": ");
    offset_says(&text, compare->offsets, offset);
    if (!offset->recognised)
        text_add(&text, ": %s: %s", compare_side(offset->miss.before), offset->miss.why);
    output_wrapped(2, 4, line);
}

static void
print_offsets(const struct compare *compare, bool recognised, const char *title)
{
    const struct offsets *offsets = compare->offsets;
    size_t count = recognised ? offsets->recognised : offsets->count - offsets->recognised;

    if (count == 0)
        return;
    printf("\n%s (%zu)\n", title, count);
    for (size_t i = 0; i < offsets->count; i++)
        if (offsets->list[i].recognised == recognised)
            print_offset(compare, &offsets->list[i]);
}

/* ---- values ---- */

/* The values of one kind under its name, as long as there is room; how many were printed. */
static size_t
print_kind(const struct compare *compare, enum difference_kind kind, size_t room)
{
    char line[COMPARE_LINE_SIZE];
    size_t printed = 0;

    if (compare->kinds[kind] == 0 || room == 0)
        return 0;
    printf("  %s (%zu)\n", difference_kind_name(kind), compare->kinds[kind]);
    for (size_t i = 0; i < compare->moved_count && printed < room; i++)
        if (compare->moved[i].stands == COMPARE_DIFFERS &&
            params[compare->moved[i].id].kind == kind) {
            output_wrapped(4, 6, compare_line(compare, &compare->moved[i], line));
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

/* What is no difference: listed with --all, else counted. */
static void
print_besides(const struct compare *compare)
{
    size_t labels = compare->all ? 0 : compare->kinds[DIFFERENCE_OF_LABELS];
    size_t asleep = compare->stands[COMPARE_ASLEEP];
    char line[COMPARE_LINE_SIZE];

    if (labels > 0)
        printf("\nBesides: %zu label%s: --all lists them\n", labels,
               labels == 1 ? " differs" : "s differ");
    if (asleep > 0)
        output_format(0, 2, "\nBehind switches that are off on both sides: %zu%s", asleep,
                      compare->all ? "" : ", --all lists them");
    for (size_t i = 0; compare->all && i < compare->moved_count; i++)
        if (compare->moved[i].stands == COMPARE_ASLEEP)
            output_wrapped(4, 6, compare_line(compare, &compare->moved[i], line));
}

void
compare_reference_text(const struct compare *compare)
{
    print_paths(compare);
    print_kinds(compare);
    print_besides(compare);
    print_offsets(compare, true, "Another offset, no difference");
    print_offsets(compare, false, "Perhaps another offset");
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
miss_json(const struct offset_miss *miss)
{
    struct json *json = json_new_object();

    json_add_string(json, "side", miss->before ? "reference" : "now");
    json_add_string(json, "why", miss->why);
    return json;
}

static struct json *
paths_json(const struct compare *compare)
{
    const struct offsets *offsets = compare->offsets;
    struct json *json = json_new_object(), *list = json_new_array();

    json_add_number(json, "agree", (double)offsets->of[PATH_AGREES]);
    json_add_number(json, "closed", (double)offsets->of[PATH_CLOSED]);
    json_add_number(json, "not_known", (double)offsets->of[PATH_NOT_KNOWN]);
    for (int input = 0; input < offsets->inputs; input++)
        for (int mix = 0; mix < offsets->mixes; mix++)
            if (offsets_path(offsets, input, mix)->same == PATH_DIFFERS)
                json_add(list, NULL, path_json(compare, input, mix));
    json_add(json, "differ", list);
    if (offsets->miss_input >= 0)
        json_add(json, "first_not_known", miss_json(&offsets->miss));
    return json;
}

static struct json *
inputs_json(const struct offsets *offsets, int first)
{
    struct json *list = json_new_array();

    for (int input = first; input < offsets->inputs; input++)
        if (offsets->preamp_of[input] == first)
            json_add_number(list, NULL, input + 1);
    return list;
}

static struct json *
offset_json(const struct offsets *offsets, const struct offset *offset)
{
    struct json *json = json_new_object();
    char says[LINE_SIZE];
    struct text text;

    text_init(&text, says, sizeof says);
    offset_says(&text, offsets, offset);
    if (offset->input >= 0)
        json_add(json, "inputs", inputs_json(offsets, offset->input));
    else
        json_add_number(json, "mix", offset->mix + 1);
    json_add_bool(json, "recognised", offset->recognised);
    json_add_number(json, "paths", offset->paths);
    json_add_string(json, "says", says);
    if (!offset->recognised)
        json_add(json, "not_known", miss_json(&offset->miss));
    return json;
}

void
compare_reference_json(const struct compare *compare, struct json *root)
{
    struct json *list = json_new_array(), *kinds = json_new_object();

    for (size_t i = 0; i < compare->offsets->count; i++)
        json_add(list, NULL, offset_json(compare->offsets, &compare->offsets->list[i]));
    for (int kind = DIFFERENCE_OF_NOTHING + 1; kind < DIFFERENCE_KINDS; kind++)
        json_add_number(kinds, difference_kind_name((enum difference_kind)kind),
                        (double)compare->kinds[kind]);
    json_add_number(kinds, "folded", (double)compare->stands[COMPARE_FOLDED]);
    json_add_number(kinds, "asleep", (double)compare->stands[COMPARE_ASLEEP]);
    json_add(root, "path_gains", paths_json(compare));
    json_add(root, "offsets", list);
    json_add(root, "kind_counts", kinds);
}
