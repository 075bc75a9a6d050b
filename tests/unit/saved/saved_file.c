/* SPDX-License-Identifier: MIT */
/* Random desks saved, written and read again: every value, state and text survives, and so does
 * every finding. Whatever is cut off or changed in the file is told. Seeds are printed;
 * GW_SEED=seed has a failure again.
 */
#include "rig.h"
#include "unit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/json.h"
#include "check/check.h"
#include "files.h"
#include "saved/file.h"

enum { DESKS = 200, DAMAGED = 4000 };

static const int64_t now_ms = 7 * 3600 * 1000 + 123;

static void
random_text(struct dice *dice, char text[DESK_TEXT_SIZE])
{
    static const char *const parts[] = {
        "Ld Vox",           "\"",       "\\", "/",    "</script>", "\xc3\xa9",
        "\xf0\x9f\x8e\xb8", "\xd7\xa9", " ",  "null", "\t",        "1"};
    size_t used = 0;

    text[0] = '\0';
    for (int i = dice_below(dice, 8); i > 0; i--) {
        const char *part = parts[dice_below(dice, 12)];

        if (used + strlen(part) >= DESK_TEXT_SIZE)
            break;
        strcpy(text + used, part);
        used += strlen(part);
    }
}

static double
random_number(struct dice *dice, enum param_id id)
{
    const struct param *param = &params[id];
    double number = dice_between(dice, param->least, param->most);

    if (param_may_be_off(id) && dice_below(dice, 4) == 0)
        return -HUGE_VAL;
    if (param->unit == UNIT_INDEX || param->unit == UNIT_WORD || param->unit == UNIT_SWITCH)
        return param->least + dice_below(dice, (int)(param->most - param->least) + 1);
    return dice_below(dice, 3) == 0 ? number : round(number * 10) / 10 + 0.0;
}

static void
random_values(struct dice *dice, struct desk *desk, enum param_id id)
{
    bool heard = desk_supplied(desk, id) == SUPPLY_HEARD;

    for (int row = 0; row < desk_rows(desk, id); row++)
        for (int column = 0; column < desk_columns(desk, id); column++) {
            int64_t at_ms = heard ? now_ms - dice_below(dice, 100000) : 0;
            char text[DESK_TEXT_SIZE];

            if (heard && dice_below(dice, 5) == 0)
                continue;
            if (params[id].unit == UNIT_TEXT) {
                random_text(dice, text);
                desk_set_text(desk, id, row, column, text, at_ms);
            } else {
                double number = random_number(dice, id);

                while (!param_accepts(id, number))
                    number = random_number(dice, id);
                desk_set(desk, id, row, column, number, at_ms);
            }
            if (heard && dice_below(dice, 6) == 0)
                desk_set_stale(desk, id, row, column);
        }
}

static struct desk *
random_desk(struct dice *dice, int most)
{
    struct desk_counts counts = {.of = {0}};
    struct desk *desk;

    for (int kind = INDEX_NONE + 1; kind < INDEX_KINDS; kind++)
        counts.of[kind] = dice_below(dice, most + 1);
    desk = desk_new(&counts);
    assert_non_null(desk);
    desk_set_filters(desk,
                     (struct desk_filters){.rate_hz = dice_below(dice, 2) ? 48000 : 44100.5,
                                           .width_in_octaves = dice_below(dice, 2) == 0,
                                           .graphic_octaves = dice_below(dice, 3) / 3.0,
                                           .limiter = (enum limiter_place)dice_below(dice, 3)});
    for (int id = 0; id < PARAMS; id++) {
        enum param_id param = (enum param_id)id;
        int supply = dice_below(dice, 6);

        if (isnan(params[id].absent) && supply == SUPPLY_ABSENT)
            supply = SUPPLY_HEARD;
        desk_supply(desk, param, supply > SUPPLY_ABSENT ? SUPPLY_HEARD : (enum supply)supply);
        if (desk_supplied(desk, param) == SUPPLY_NONE)
            continue;
        if (params[id].unit == UNIT_DB && dice_below(dice, 2) == 0) {
            double part = dice_below(dice, 2) ? 1 : 3; /* the legal range, too, is one to tell */

            desk_set_travel(desk, param,
                            (struct travel){params[id].least / part, params[id].most / part});
            desk_set_step(desk, param, dice_between(dice, 0.01, 1));
        }
        random_values(dice, desk, param);
    }
    return desk;
}

static struct saved
saved_of(struct desk *desk)
{
    return (struct saved){.desk_name = "Desk \"one\"",
                          .show = "Caf\xc3\xa9",
                          .at = "2026-06-13T17:04:05+02:00",
                          .approved = true,
                          .approved_at = "2026-06-13T17:04:06+02:00",
                          .by = "monitor engineer",
                          .note = "after line check",
                          .desk = desk,
                          .now_ms = now_ms};
}

static void
same_value(const struct desk *one, const struct desk *other, enum param_id id, int row, int column)
{
    const struct value *was = desk_value(one, id, row, column);
    const struct value *is = desk_value(other, id, row, column);

    assert_row(params[id].name, is->state, was->state);
    assert_near_in(params[id].name, value_last_heard(is), value_last_heard(was), 0);
    if (params[id].unit == UNIT_TEXT)
        assert_string_equal(desk_text(other, id, row, column), desk_text(one, id, row, column));
    if (was->state != VALUE_UNKNOWN && desk_supplied(one, id) == SUPPLY_HEARD)
        assert_row(params[id].name, is->heard_ms, was->heard_ms - now_ms);
}

static void
same_end(enum param_id id, double is, double was)
{
    assert_row(params[id].name, isnan(is), isnan(was));
    if (!isnan(was))
        assert_near_in(params[id].name, is, was, 0);
}

static void
same_desk(const struct desk *one, const struct desk *other)
{
    for (int kind = 0; kind < INDEX_KINDS; kind++)
        assert_int_equal(desk_count(other, (enum index_kind)kind),
                         desk_count(one, (enum index_kind)kind));
    assert_near(desk_filters(other).rate_hz, desk_filters(one).rate_hz, 0);
    assert_int_equal(desk_filters(other).width_in_octaves, desk_filters(one).width_in_octaves);
    assert_near(desk_filters(other).graphic_octaves, desk_filters(one).graphic_octaves, 0);
    assert_int_equal(desk_filters(other).limiter, desk_filters(one).limiter);
    for (int i = 0; i < PARAMS; i++) {
        enum param_id id = (enum param_id)i;

        assert_row(params[id].name, desk_supplied(other, id), desk_supplied(one, id));
        if (desk_supplied(one, id) == SUPPLY_NONE)
            continue;
        same_end(id, desk_travel(other, id).least, desk_travel(one, id).least);
        same_end(id, desk_travel(other, id).most, desk_travel(one, id).most);
        assert_near_in(params[id].name, desk_step(other, id), desk_step(one, id), 0);
        for (int row = 0; row < desk_rows(one, id); row++)
            for (int column = 0; column < desk_columns(one, id); column++)
                same_value(one, other, id, row, column);
    }
}

static struct saved *
parse(const char *text, size_t length)
{
    struct problems problems = {0};
    struct saved *saved;

    saved = saved_file_parse(text, length, "saved", &problems);
    problems_print(&problems, stderr);
    assert_int_equal(problems.count == 0, saved != NULL);
    problems_release(&problems);
    return saved;
}

static void
random_desks_survive(void **unused)
{
    struct dice dice = dice_new();

    (void)unused;
    for (int i = 0; i < DESKS; i++) {
        struct desk *desk = random_desk(&dice, i % 5 == 0 ? 12 : 4);
        struct saved saved = saved_of(desk);
        char *text = saved_file_text(&saved), *again;
        struct saved *read = parse(text, strlen(text));

        assert_non_null(read);
        same_desk(desk, read->desk);
        assert_string_equal(read->desk_name, saved.desk_name);
        assert_string_equal(read->show, saved.show);
        assert_string_equal(read->at, saved.at);
        assert_true(read->approved);
        assert_string_equal(read->approved_at, saved.approved_at);
        assert_string_equal(read->by, saved.by);
        assert_string_equal(read->note, saved.note);
        again = saved_file_text(read);
        assert_string_equal(again, text); /* byte for byte */
        free(again);
        free(text);
        saved_free(read);
        desk_free(desk);
    }
}

/* ---- the same findings ---- */

static void
drop(void *context, const struct event *event)
{
    (void)context;
    (void)event;
}

static struct engine *
judged(struct desk *desk)
{
    struct engine *engine = engine_new(
        desk,
        check_set_show(check_set_all, desk_count(desk, INDEX_INPUT), desk_count(desk, INDEX_MIX)),
        check_set_all);

    assert_non_null(engine);
    engine_run(engine, 1, drop, NULL);
    return engine;
}

static void
same_findings(const struct engine *one, const struct engine *other)
{
    assert_int_equal(engine_slots(other), engine_slots(one));
    for (size_t slot = 0; slot < engine_slots(one); slot++) {
        const struct finding *was = engine_slot(one, slot), *is = engine_slot(other, slot);
        struct words said, says;

        assert_row(was->check->id, engine_outcome(other, slot), engine_outcome(one, slot));
        engine_words(one, was, &said);
        engine_words(other, is, &says);
        assert_string_equal(says.says, said.says);
        assert_string_equal(says.cure, said.cure);
    }
}

static void
a_rebuilt_desk_gives_the_same_findings(void **unused)
{
    struct dice dice = dice_new();

    (void)unused;
    for (int i = 0; i < DESKS; i++) {
        struct desk *desk = random_desk(&dice, 4);
        struct saved saved = saved_of(desk);
        char *text = saved_file_text(&saved);
        struct saved *read = parse(text, strlen(text));
        struct engine *one = judged(desk), *other;

        assert_non_null(read);
        other = judged(read->desk);
        read->desk = NULL;
        same_findings(one, other);
        engine_free(one);
        engine_free(other);
        saved_free(read);
        free(text);
    }
}

/* ---- damage ---- */

/* What is cut short or changed must be told, and must not become a saved desk. */
static void
is_refused(const char *text, size_t length)
{
    struct problems problems = {0};
    struct saved *saved;

    saved = saved_file_parse(text, length, "saved", &problems);
    assert_null(saved);
    assert_true(problems.count > 0);
    assert_contains(problems.lines[0], "saved:");
    problems_release(&problems);
}

static char *
small_saved(struct dice *dice)
{
    struct desk *desk = random_desk(dice, 2);
    struct saved saved = saved_of(desk);
    char *text = saved_file_text(&saved);

    desk_free(desk);
    return text;
}

static void
every_truncation_is_told(void **unused)
{
    struct dice dice = dice_new();
    char *text = small_saved(&dice);
    size_t length = strlen(text);

    (void)unused;
    for (size_t cut = 0; cut < length; cut++) {
        char *part = malloc(cut + 1);

        assert_non_null(part);
        memcpy(part, text, cut);
        part[cut] = '\0';
        is_refused(part, cut);
        free(part);
    }
    free(text);
}

static void
every_damage_is_told(void **unused)
{
    struct dice dice = dice_new();
    char *text = small_saved(&dice);
    size_t length = strlen(text);

    (void)unused;
    for (int i = 0; i < DAMAGED; i++) {
        char *damaged = strdup(text);

        assert_non_null(damaged);
        for (int bytes = 1 + dice_below(&dice, 3); bytes > 0; bytes--)
            damaged[dice_below(&dice, (int)length)] =
                (char)(i % 2 ? 1 + dice_below(&dice, 255)
                             : "0123456789.,[]{}\""[dice_below(&dice, 17)]);
        if (strcmp(damaged, text) != 0)
            is_refused(damaged, length);
        free(damaged);
    }
    free(text);
}

/* ---- what is wrong is told with its place ---- */

/* A saved desk whose text has `from` replaced by `to`; all lines told, joined. */
static void
problems_of(const char *from, const char *to, char lines[8000])
{
    struct desk_counts counts = {
        .of = {[INDEX_INPUT] = 2, [INDEX_MIX] = 1, [INDEX_MIX_GRAPHIC_BAND] = 2}};
    struct desk *desk = desk_new(&counts);
    struct saved saved = saved_of(desk);
    struct problems problems = {0};
    char *text, *at, *changed;
    size_t used = 0;

    for (int id = 0; id < PARAMS; id++)
        desk_supply(desk, (enum param_id)id, SUPPLY_NONE);
    desk_supply(desk, PARAM_INPUT_PREAMP_GAIN, SUPPLY_HEARD);
    desk_supply(desk, PARAM_SEND_TAP, SUPPLY_FIXED);
    desk_supply(desk, PARAM_MIX_GRAPHIC_BAND_GAIN, SUPPLY_HEARD);
    desk_supply(desk, PARAM_INPUT_PHANTOM, SUPPLY_HEARD);
    desk_set(desk, PARAM_INPUT_PREAMP_GAIN, 0, 0, 31, now_ms - 1500);
    desk_set(desk, PARAM_SEND_TAP, 0, 0, TAP_PRE_FADER, 0);
    desk_set(desk, PARAM_SEND_TAP, 1, 0, TAP_PRE_FADER, 0);
    desk_set(desk, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 0, -3, now_ms - 500);
    desk_set(desk, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 1, -6, now_ms - 250);
    desk_set_stale(desk, PARAM_MIX_GRAPHIC_BAND_GAIN, 0, 1);
    desk_set(desk, PARAM_INPUT_PHANTOM, 0, 0, 1, now_ms);
    text = saved_file_text(&saved);
    at = strstr(text, from);
    if (!at)
        print_error("%s\nhas no %s\n", text, from);
    assert_non_null(at);
    changed = malloc(strlen(text) + strlen(to) + 1);
    assert_non_null(changed);
    sprintf(changed, "%.*s%s%s", (int)(at - text), text, to, at + strlen(from));
    assert_null(saved_file_parse(changed, strlen(changed), "f.json", &problems));
    lines[0] = '\0';
    for (size_t i = 0; i < problems.count && i < 10; i++)
        used += (size_t)sprintf(lines + used, "%.700s\n", problems.lines[i]);
    problems_release(&problems);
    free(changed);
    free(text);
    desk_free(desk);
}

static void
what_is_wrong_is_told_with_its_place(void **unused)
{
    static const struct {
        const char *from, *to, *told;
    } rows[] = {
        {"\"saved_format\": 1", "\"saved_format\": 2",
         "f.json: saved_format: is 2; this version reads format 1"},
        {"\"saved_format\": 1,", "", "f.json: saved_format: is missing; it must be a number"},
        {"[31, null]", "[91, null]",
         "f.json: values.input.preamp_gain.values[0]: must be a number from -40 to 90"},
        {"\"values\": [31,", "\"range\": [-4, 1e999], \"values\": [31,",
         "values.input.preamp_gain.range: must be [least, most], two rising numbers"},
        {"\"values\": [31,", "\"step\": 1e999, \"values\": [31,",
         "values.input.preamp_gain.step: must be a number above 0"},
        {"[31, null]", "[31]", "values.input.preamp_gain.values: has 1 elements, must have 2"},
        {"[31, null]", "[\"-inf\", null]", "values[0]: must be a number from -40 to 90"},
        {"[31, null]", "[null, 31]", "f.json: digest: does not fit the text"},
        {"[31, null]", "[32, null]", "f.json: digest: does not fit the text"},
        {"[[-3, -6]]", "[[-3, true]]",
         "values.mix.graphic.band.gain.values[0][1]: must be a number from -60 to 60"},
        {"[[-3, -6]]", "[[-3, null]]", "values[0][1]: is not known, yet \"heard_s\" says when"},
        {"[[0.500, 0.250]]", "[[0.500, null]]",
         "values[0][1]: is known, yet \"heard_s\" does not say when"},
        {"[[0.500, 0.250]]", "[[0.500, -1]]", "heard_s[0][1]: must be seconds from 0"},
        {"[[1, 2]]", "[[1, 3]]", "values.mix.graphic.band.gain.stale[0]: is outside the counts"},
        {"[[1, 2]]", "[[1, 2], [1, 2]]", "stale[1]: stands twice"},
        {"[[1, 2]]", "7", "stale: must be true or an array of places"},
        {"[true, null]", "[1, null]",
         "values.input.phantom.values[0]: is a number, must be true or false"},
        {"[\"pre-fader\"]", "[\"post\"]",
         "values.send.tap.values[0][0]: is \"post\"; allowed are pre-eq, pre-fader, post-fader"},
        {"[\"pre-fader\"]", "[null]", "is null, which only a value that is heard can be"},
        {"\"supplied\": \"fixed\"", "\"supplied\": \"absent\"",
         "values.send.tap.supplied: nothing stands in for it"},
        {"\"supplied\": \"fixed\"", "\"supplied\": \"guessed\"",
         "is \"guessed\"; allowed are heard, fixed, absent"},
        {"\"input.phantom\"", "\"input.phantoms\"",
         "values.input.phantoms: unknown parameter, did you mean \"input.phantom\"?"},
        {"\"unit\": \"dB\"", "\"unit\": \"Hz\"",
         "values.input.preamp_gain.unit: is \"Hz\", must be \"dB\""},
        {"\"input\": 2", "\"input\": 513", "counts.input: must be a whole number from 0 to 512"},
        {"\"input\": 2", "\"inputs\": 2", "counts.inputs: unknown key"},
        {"\"group\": 0, ", "", "counts.group: is missing; it must be a number"},
        {"\"rate_hz\": 48000", "\"rate_hz\": 1", "filters.rate_hz: must be a sample rate"},
        {"\"width\": \"q\"", "\"width\": \"x\"", "filters.width: is \"x\"; allowed are q, octaves"},
        {"\"width\": \"q\"", "\"width\": \"q\", \"graphic_octaves\": 0",
         "filters.graphic_octaves: must be a number above 0, at most 4"},
        {"\"width\": \"q\"", "\"width\": \"q\", \"limiter\": \"last\"",
         "filters.limiter: is \"last\"; allowed are before-master, after-master"},
        {"\"at\": \"2026-06-13T17:04:05+02:00\"", "\"at\": \"yesterday\"",
         "f.json: at: is \"yesterday\"; a time is written"},
        {"\"at\": \"2026-06-13T17:04:06+02:00\"", "\"at\": \"2026-02-30T17:04:06+02:00\"",
         "f.json: approved.at: is \"2026-02-30"},
        {"\"by\":", "\"from\":", "approved.from: unknown key"},
        {"\"digest\": \"", "\"digest\": \"0", "digest: does not fit the text"},
        {"}\n", "}\n ", "does not fit the text"},
        {"{", "[", "expected , or ] here, not :"},
    };
    char lines[8000];

    (void)unused;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        problems_of(rows[i].from, rows[i].to, lines);
        assert_contains(lines, rows[i].told);
    }
}

/* ---- files ---- */

static void
a_file_is_replaced_whole_and_a_missing_one_is_told(void **unused)
{
    struct dice dice = dice_new();
    struct desk *desk = random_desk(&dice, 3);
    struct saved saved = saved_of(desk), *read;
    struct problems problems = {0};
    struct stat status;
    char path[FILE_PATH_SIZE], gone[FILE_PATH_SIZE + 8];

    (void)unused;
    file_write(path, "old", 3);
    assert_true(saved_file_write(&saved, path));
    read = saved_file_read(path, &problems);
    assert_int_equal(stat(path, &status), 0);
    assert_non_null(read);
    same_desk(desk, read->desk);
    saved_free(read);
    snprintf(gone, sizeof gone, "%s.gone", path);
    assert_null(saved_file_read(gone, &problems));
    assert_contains(problems.lines[0], ": cannot read: No such file");
    snprintf(gone, sizeof gone, "%s/no", path);
    assert_false(saved_file_write(&saved, gone));
    file_remove(path);
    problems_release(&problems);
    desk_free(desk);
}

static void
counts_that_differ_are_named(void **unused)
{
    struct desk_counts counts = {.of = {[INDEX_INPUT] = 24, [INDEX_MIX] = 8}};
    struct desk *one = desk_new(&counts), *other;
    struct saved saved = saved_of(one);
    struct problems problems = {0};

    (void)unused;
    assert_true(saved_file_fits(&saved, one, "f.json", &problems));
    counts.of[INDEX_INPUT] = 32;
    other = desk_new(&counts);
    assert_false(saved_file_fits(&saved, other, "f.json", &problems));
    assert_int_equal(problems.count, 1);
    assert_string_equal(problems.lines[0], "f.json: counts.input: is 24, but the profile has 32; "
                                           "it is of another desk, or from before "
                                           "the profile changed: store the desk anew");
    problems_release(&problems);
    desk_free(one);
    desk_free(other);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(random_desks_survive),
        cmocka_unit_test(a_rebuilt_desk_gives_the_same_findings),
        cmocka_unit_test(every_truncation_is_told),
        cmocka_unit_test(every_damage_is_told),
        cmocka_unit_test(what_is_wrong_is_told_with_its_place),
        cmocka_unit_test(a_file_is_replaced_whole_and_a_missing_one_is_told),
        cmocka_unit_test(counts_that_differ_are_named),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
