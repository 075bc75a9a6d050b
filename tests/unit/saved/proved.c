/* SPDX-License-Identifier: MIT */
/* What ring-outs proved, written and read again: every desk, figure and text survives, and so does
 * every margin. Whatever is cut off or changed in the file is told, with its place. Seeds are
 * printed; GW_SEED=seed has a failure again.
 */
#include "unit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "files.h"
#include "proof_desk.h"
#include "saved/parts.h"
#include "saved/proved.h"

enum { FILES = 20, DAMAGED = 300 };

static struct proof_made
made(const char *note)
{
    struct proof_made made = {
        .now_ms = 5000, .at = "2026-06-13T17:04:05+02:00", .by = "Caf\xc3\xa9"};

    strcpy(made.note, note);
    return made;
}

/* Two ceilings, two rings, and what was left. */
static struct proved_file *
random_file(struct dice *dice)
{
    struct proved_file *file = calloc(1, sizeof *file);
    struct proofs *proofs = &file->proofs;
    struct desk *desk = proof_desk_plain();

    strcpy(file->desk_name, "Desk \"one\"");
    strcpy(file->show, "Ostrel Barn");
    proofs->ceilings = calloc(PROOFS_MOST, sizeof *proofs->ceilings);
    proofs->rings = calloc(PROOFS_MOST, sizeof *proofs->rings);
    for (int i = 0; i < 2; i++) {
        for (int move = dice_below(dice, 9); move > 0; move--)
            proof_shake(dice, desk);
        proofs->ceilings[i] = proof_ceiling_of(desk, i - 1);
        proofs->ceilings[i].step_db = i == 0 ? 0.5 : 70; /* so far a move may leap */
        proofs->ceilings[i].made = made(i == 0 ? "together" : "a \\ \"b\"\n");
        proofs->ceiling_count++;
    }
    proofs->rings[0] =
        (struct proof_ring){.hz = 2512.5, .mix = 1, .input = 2, .gain_db = 38.25, .made = made("")};
    proofs->rings[1] = (struct proof_ring){
        .hz = 19.99, .mix = 0, .input = -1, .gain_db = NAN, .made = made("once more")};
    proofs->ring_count = 2;
    proofs->left = desk;
    proofs->left_made = made("left");
    return file;
}

static struct proved_file *
parse(const char *text, struct problems *problems)
{
    return proved_file_parse(text, strlen(text), "proved", problems);
}

/* ---- there and back ---- */

static void
assert_same_desk(const struct desk *one, const struct desk *other)
{
    for (int id = 0; id < PARAMS; id++)
        for (int row = 0; row < desk_rows(one, (enum param_id)id); row++)
            for (int column = 0; column < desk_columns(one, (enum param_id)id); column++) {
                const struct value *was = desk_value(one, (enum param_id)id, row, column);
                const struct value *is = desk_value(other, (enum param_id)id, row, column);

                assert_row(params[id].name, is->state, was->state);
                if (was->state != VALUE_UNKNOWN)
                    assert_near_in(params[id].name, value_last_heard(is), value_last_heard(was), 0);
            }
}

static void
assert_same_made(const struct proof_made *one, const struct proof_made *other)
{
    assert_string_equal(one->at, other->at);
    assert_string_equal(one->by, other->by);
    assert_string_equal(one->note, other->note);
}

static void
assert_same_margins(const struct proofs *one, const struct proofs *other)
{
    struct show *show = proof_desk_show();
    struct proof *was = proof_new(one->left, show, one), *is = proof_new(one->left, show, other);

    for (int mix = 0; mix < PROOF_MIXES; mix++) {
        assert_int_equal(proof_of_mix(was, mix)->state, proof_of_mix(is, mix)->state);
        assert_near(proof_of_mix(is, mix)->margin.db, proof_of_mix(was, mix)->margin.db, 0);
    }
    proof_free(was);
    proof_free(is);
    show_free(show);
}

static void
assert_same_rings(const struct proofs *one, const struct proofs *other)
{
    assert_int_equal(one->ring_count, other->ring_count);
    for (int i = 0; i < one->ring_count; i++) {
        assert_near(other->rings[i].hz, one->rings[i].hz, 0);
        assert_int_equal(one->rings[i].mix, other->rings[i].mix);
        assert_int_equal(one->rings[i].input, other->rings[i].input);
        assert_int_equal(isnan(one->rings[i].gain_db), isnan(other->rings[i].gain_db));
        assert_same_made(&one->rings[i].made, &other->rings[i].made);
    }
    assert_near(other->rings[0].gain_db, one->rings[0].gain_db, 0);
}

static void
test_there_and_back(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int i = 0; i < FILES; i++) {
        struct proved_file *file = random_file(&dice), *again;
        struct problems problems = {0};
        char *text = proved_file_text(file);

        again = parse(text, &problems);
        problems_print(&problems, stderr);
        assert_non_null(again);
        assert_string_equal(again->desk_name, file->desk_name);
        assert_string_equal(again->show, file->show);
        assert_int_equal(again->proofs.ceiling_count, 2);
        for (int k = 0; k < 2; k++) {
            assert_same_desk(file->proofs.ceilings[k].desk, again->proofs.ceilings[k].desk);
            assert_same_made(&file->proofs.ceilings[k].made, &again->proofs.ceilings[k].made);
            assert_int_equal(again->proofs.ceilings[k].mix, k - 1);
            assert_near(again->proofs.ceilings[k].step_db, k == 0 ? 0.5 : 70, 0);
        }
        assert_same_desk(file->proofs.left, again->proofs.left);
        assert_same_rings(&file->proofs, &again->proofs);
        assert_same_margins(&file->proofs, &again->proofs);
        free(text);
        proved_file_free(file);
        proved_file_free(again);
    }
}

/* ---- what is wrong is told ---- */

static void
test_damage_is_told(void **state)
{
    struct dice dice = dice_new();
    struct proved_file *file = random_file(&dice);
    char *text = proved_file_text(file);
    size_t length = strlen(text);

    (void)state;
    for (int i = 0; i < DAMAGED; i++) {
        struct problems problems = {0};
        size_t at = (size_t)dice_below(&dice, (int)length);
        char was = text[at];

        text[at] = i % 3 == 0 ? '\0' : (char)(was ^ (1 << dice_below(&dice, 7)));
        if (text[at] != was) {
            assert_null(parse(text, &problems));
            assert_true(problems.count > 0);
        }
        text[at] = was;
        problems_release(&problems);
    }
    free(text);
    proved_file_free(file);
}

/* The text with one part replaced by another, and signed anew. */
static char *
edited(const char *text, const char *part, const char *by)
{
    const char *at = strstr(text, part);
    char *other = malloc(strlen(text) + strlen(by) + 1);

    assert_non_null(at);
    sprintf(other, "%.*s%s%s", (int)(at - text), text, by, at + strlen(part));
    saved_sign(other);
    return other;
}

static void
test_edits_are_told_with_their_place(void **state)
{
    static const struct {
        const char *part, *by, *told;
    } edits[] = {
        {"\"proved_format\": 1", "\"proved_format\": 2", "proved: proved_format: "},
        {"\"step_db\": 0.5", "\"step_db\": 500",
         "proved: ceilings[0].step_db: must be a number from 0 to 400"},
        {", \"mix\": 1, \"step_db\"", ", \"mix\": 0, \"step_db\"",
         "proved: ceilings[1].mix: must be a whole number from 1 to 512"},
        {"\"hz\": 2512.5", "\"hz\": 0",
         "proved: rings[0].hz: must be a frequency from 1 to 48000 Hz"},
        {"\"hz\": 2512.5", "\"tone\": 1, \"hz\": 2512.5", "proved: rings[0].tone: unknown key"},
        {"\"2026-06-13T17:04:05+02:00\"", "\"yesterday\"",
         "proved: ceilings[0].at: is \"yesterday\"; a time is written 2026-06-13T17:04:05+02:00"},
        {"\"input\": 3", "\"input\": 2", "proved: ceilings[0].desk."},
    };
    struct dice dice = dice_new();
    struct proved_file *file = random_file(&dice);
    char *text = proved_file_text(file);

    (void)state;
    for (size_t i = 0; i < COUNT(edits); i++) {
        char *other = edited(text, edits[i].part, edits[i].by);
        struct problems problems = {0};

        assert_null(parse(other, &problems));
        assert_true(problems.count > 0);
        assert_contains(problems.lines[0], edits[i].told);
        problems_release(&problems);
        free(other);
    }
    free(text);
    proved_file_free(file);
}

static void
test_of_another_desk(void **state)
{
    static const struct desk_counts counts = {.of = {[INDEX_INPUT] = 2, [INDEX_MIX] = 1}};
    struct dice dice = dice_new();
    struct proved_file *file = random_file(&dice);
    struct desk *other = desk_new(&counts);
    struct problems problems = {0};

    (void)state;
    assert_true(proved_file_fits(file, file->proofs.left, "proved", &problems));
    assert_false(proved_file_fits(file, other, "proved", &problems));
    assert_contains(problems.lines[0],
                    "proved: ceilings[0].desk.counts.input: is 3, but the profile has 2");
    problems_release(&problems);
    desk_free(other);
    proved_file_free(file);
}

/* ---- the file ---- */

static void
test_forgetting(void **state)
{
    struct dice dice = dice_new();
    struct proved_file *file = random_file(&dice);

    (void)state;
    assert_false(proved_file_forget(file, 0));
    assert_false(proved_file_forget(file, 5));
    assert_true(proved_file_forget(file, 3));
    assert_int_equal(file->proofs.ring_count, 1);
    assert_near(file->proofs.rings[0].hz, 19.99, 0);
    assert_true(proved_file_forget(file, 1));
    assert_int_equal(file->proofs.ceiling_count, 1);
    assert_int_equal(file->proofs.ceilings[0].mix, 0);
    assert_true(proved_file_forget(file, 2));
    assert_int_equal(file->proofs.ring_count, 0);
    proved_file_free(file);
}

static void
test_a_file(void **state)
{
    struct dice dice = dice_new();
    struct proved_file *file = random_file(&dice), *again;
    struct problems problems = {0};
    char path[FILE_PATH_SIZE];

    (void)state;
    file_write(path, "", 0);
    assert_true(proved_file_write(file, path));
    again = proved_file_read(path, &problems);
    assert_non_null(again);
    proved_file_free(again);
    file_remove(path);
    assert_null(proved_file_read(path, &problems));
    assert_contains(problems.lines[0], "No such file");
    problems_release(&problems);
    proved_file_free(file);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_there_and_back),
        cmocka_unit_test(test_damage_is_told),
        cmocka_unit_test(test_edits_are_told_with_their_place),
        cmocka_unit_test(test_of_another_desk),
        cmocka_unit_test(test_forgetting),
        cmocka_unit_test(test_a_file),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
