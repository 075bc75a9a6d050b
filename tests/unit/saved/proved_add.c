/* SPDX-License-Identifier: MIT */
/* What a ring-out adds to a file of proofs: what was there stays, what it added before is replaced
 * and not doubled, and of too many the oldest go, each told. Seeds are printed; GW_SEED=seed has a
 * failure again.
 */
#include "unit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "proof_desk.h"
#include "saved/proved.h"

static struct proof_made
made(int second, const char *note)
{
    struct proof_made made = {.by = "Mara"};

    snprintf(made.at, sizeof made.at, "2026-06-13T17:%02d:%02d+02:00", second / 60 % 60,
             second % 60);
    strcpy(made.note, note);
    return made;
}

/* So many ceilings and rings from that second on. */
static struct proofs
some(int count, int second, const char *note)
{
    struct proofs proofs = {
        .ceilings = calloc(PROOFS_MOST, sizeof *proofs.ceilings),
        .rings = calloc(PROOFS_MOST, sizeof *proofs.rings),
    };
    struct desk *desk = proof_desk_plain();

    for (int i = 0; i < count; i++) {
        proofs.ceilings[i] = proof_ceiling_of(desk, i % PROOF_MIXES);
        proofs.ceilings[i].made = made(second + i, note);
        proofs.rings[i] = (struct proof_ring){
            .hz = 500 + i, .mix = 1, .input = -1, .made = made(second + i, note)};
    }
    desk_free(desk);
    proofs.ceiling_count = proofs.ring_count = count;
    return proofs;
}

static struct proved_file *
file_of(int count)
{
    struct proved_file *file = calloc(1, sizeof *file);

    file->proofs = some(count, 0, "before");
    return file;
}

struct dropped {
    int ceilings, rings;
};

static void
count_dropped(void *context, const struct proof_ceiling *ceiling, const struct proof_ring *ring)
{
    struct dropped *dropped = context;

    assert_true(!ceiling != !ring);
    assert_string_equal(ceiling ? ceiling->made.note : ring->made.note, "before");
    dropped->ceilings += ceiling != NULL;
    dropped->rings += ring != NULL;
}

static void
assert_times(const struct proofs *proofs, int first, int count)
{
    assert_int_equal(proofs->ceiling_count, count);
    assert_int_equal(proofs->ring_count, count);
    for (int i = 0; i < count; i++) {
        assert_string_equal(proofs->ceilings[i].made.at, made(first + i, "").at);
        assert_string_equal(proofs->rings[i].made.at, made(first + i, "").at);
    }
}

static void
test_again_and_again(void **state)
{
    struct proved_file *file = file_of(3);
    struct proofs before = {.left = NULL};
    struct dropped dropped = {0, 0};

    (void)state;
    for (int count = 1; count < 6; count++) {
        struct proofs own = some(count, 3, "own");

        proved_file_add(file, &own, &before, count_dropped, &dropped);
        assert_times(&file->proofs, 0, 3 + count);
        proofs_release(&before);
        before = own;
    }
    assert_int_equal(dropped.ceilings + dropped.rings, 0);
    proofs_release(&before);
    proved_file_free(file);
}

/* Somebody took one of the earlier ones out, and one of its own: the first stays away. */
static void
test_what_was_forgotten_meanwhile(void **state)
{
    struct proved_file *file = file_of(2);
    struct proofs own = some(2, 2, "own"), none = {.left = NULL};

    (void)state;
    proved_file_add(file, &own, &none, count_dropped, NULL);
    assert_true(proved_file_forget(file, 1));
    assert_true(proved_file_forget(file, 2));
    proved_file_add(file, &own, &own, count_dropped, NULL);
    assert_int_equal(file->proofs.ceiling_count, 3);
    assert_string_equal(file->proofs.ceilings[0].made.at, made(1, "").at);
    proofs_release(&own);
    proved_file_free(file);
}

static void
test_the_oldest_make_room(void **state)
{
    struct dice dice = dice_new();

    (void)state;
    for (int i = 0; i < 50; i++) {
        int there = dice_below(&dice, PROOFS_MOST + 1), come = dice_below(&dice, PROOFS_MOST + 1);
        int more = there + come > PROOFS_MOST ? there + come - PROOFS_MOST : 0;
        struct proved_file *file = file_of(there);
        struct proofs own = some(come, there, "own"), none = {.left = NULL};
        struct dropped dropped = {0, 0};

        proved_file_add(file, &own, &none, count_dropped, &dropped);
        assert_times(&file->proofs, more, there + come - more);
        proved_file_add(file, &own, &own, count_dropped, &dropped);
        assert_times(&file->proofs, more, there + come - more);
        assert_int_equal(dropped.ceilings, more);
        assert_int_equal(dropped.rings, more);
        proofs_release(&own);
        proved_file_free(file);
    }
}

/* What could not be read again is not written: the oldest go, but none of this ring-out's. */
static void
test_no_longer_than_can_be_read(void **state)
{
    struct proved_file *file = file_of(9);
    struct dropped dropped = {0, 0};
    char *text = proved_file_text(file), *after;

    (void)state;
    proved_file_shrink(file, strlen(text), 2, count_dropped, &dropped);
    assert_int_equal(dropped.ceilings, 0);
    proved_file_shrink(file, strlen(text) / 2, 2, count_dropped, &dropped);
    after = proved_file_text(file);
    assert_true(strlen(after) <= strlen(text) / 2);
    assert_in_range(dropped.ceilings, 4, 6);
    assert_string_equal(file->proofs.ceilings[0].made.at, made(dropped.ceilings, "").at);
    proved_file_shrink(file, 1, 2, count_dropped, &dropped);
    assert_int_equal(file->proofs.ceiling_count, 2);
    free(text);
    free(after);
    proved_file_free(file);
}

/* As soon as something else is proved, what the ring-out before left is not how the desk was left:
 * were this one cut off, what it raised would be told as risen since. Rings alone prove nothing. */
static void
test_what_was_left(void **state)
{
    struct proved_file *file = file_of(1);
    struct proofs own = some(1, 1, "own"), none = {.left = NULL};

    (void)state;
    file->proofs.left = proof_desk_plain();
    file->proofs.left_made = made(0, "before");
    own.ceiling_count = 0;
    proved_file_add(file, &own, &none, count_dropped, NULL);
    assert_string_equal(file->proofs.left_made.note, "before");
    own.ceiling_count = 1;
    proved_file_add(file, &own, &none, count_dropped, NULL);
    assert_null(file->proofs.left);
    own.left = proof_desk_plain();
    own.left_made = made(9, "own");
    proved_file_add(file, &own, &own, count_dropped, NULL);
    assert_string_equal(file->proofs.left_made.note, "own");
    assert_ptr_not_equal(file->proofs.left, own.left);
    proofs_release(&own);
    proved_file_free(file);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_again_and_again),
        cmocka_unit_test(test_what_was_forgotten_meanwhile),
        cmocka_unit_test(test_the_oldest_make_room),
        cmocka_unit_test(test_no_longer_than_can_be_read),
        cmocka_unit_test(test_what_was_left),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
