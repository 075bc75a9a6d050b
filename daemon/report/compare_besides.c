/* SPDX-License-Identifier: MIT */
/* What differs and makes no difference: what stands behind switches that are off on both sides, and
 * another preamp offset alone.
 */
#include <stdio.h>

#include "base/json.h"
#include "base/output.h"
#include "report/compare.h"

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

const char *
compare_offset_says(const struct compare *compare, const struct offset *offset,
                    char line[COMPARE_LINE_SIZE])
{
    struct text text;

    text_init(&text, line, COMPARE_LINE_SIZE);
    name_offset(compare, offset, &text);
    text_add(&text, ": ");
    offset_says(&text, compare->offsets, offset);
    if (!offset->recognised)
        text_add(&text, ": %s: %s", compare_side(offset->miss.before), offset->miss.why);
    return line;
}

bool
compare_offset_is_listed(const struct compare *compare, const struct offset *offset)
{
    static const enum param_id parts[] = {PARAM_INPUT_PREAMP_GAIN, PARAM_INPUT_PAD,
                                          PARAM_INPUT_TRIM, PARAM_MIX_FADER, PARAM_MIX_TRIM};
    enum index_kind kind = offset->input >= 0 ? INDEX_INPUT : INDEX_MIX;
    bool back = false;

    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
        back |=
            params[parts[i]].row == kind &&
            plan_card_moving(compare->plan, parts[i],
                             kind == INDEX_INPUT ? offset->input : offset->mix, 0) != PLAN_NO_CARD;
    return !back;
}

static void
print_offsets(const struct compare *compare, bool recognised, const char *title)
{
    const struct offsets *offsets = compare->offsets;
    char line[COMPARE_LINE_SIZE];
    size_t count = 0;

    for (size_t i = 0; i < offsets->count; i++)
        count += offsets->list[i].recognised == recognised &&
                 compare_offset_is_listed(compare, &offsets->list[i]);
    if (count > 0)
        printf("\n%s (%zu)\n", title, count);
    for (size_t i = 0; i < offsets->count; i++)
        if (offsets->list[i].recognised == recognised &&
            compare_offset_is_listed(compare, &offsets->list[i]))
            output_wrapped(2, 4, compare_offset_says(compare, &offsets->list[i], line));
}

/* Listed with --all, else counted. */
static void
print_asleep(const struct compare *compare)
{
    size_t asleep = compare->stands[COMPARE_ASLEEP];

    if (asleep > 0)
        output_format(0, 2, "\nBehind switches that are off on both sides: %zu%s", asleep,
                      compare->all ? "" : ", --all lists them");
    for (size_t i = 0; compare->all && i < compare->moved_count; i++)
        if (compare->moved[i].stands == COMPARE_ASLEEP)
            compare_print(compare, &compare->moved[i]);
}

void
compare_besides_text(const struct compare *compare)
{
    print_asleep(compare);
    print_offsets(compare, true, "Another offset, no difference");
    print_offsets(compare, false, "Perhaps another offset");
}

/* ---- JSON ---- */

struct json *
compare_miss_json(const struct offset_miss *miss)
{
    struct json *json = json_new_object();

    json_add_string(json, "side", miss->before ? "reference" : "now");
    json_add_string(json, "why", miss->why);
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
    char says[COMPARE_LINE_SIZE];
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
        json_add(json, "not_known", compare_miss_json(&offset->miss));
    return json;
}

void
compare_offsets_json(const struct compare *compare, struct json *root)
{
    struct json *list = json_new_array();

    for (size_t i = 0; i < compare->offsets->count; i++)
        json_add(list, NULL, offset_json(compare->offsets, &compare->offsets->list[i]));
    json_add(root, "offsets", list);
}
