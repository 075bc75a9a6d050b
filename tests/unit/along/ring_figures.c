/* SPDX-License-Identifier: MIT */
/* The figures of a mix that is rung out, in words: the same as those of `gainwarden proved`. */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "along/says.h"
#include "proof/say.h"
#include "proof_desk.h"

static const char *
says(const struct ring_mix *mix)
{
    static char buffer[SAYS_SIZE];
    struct desk *desk = proof_desk_plain();

    says_mix(buffer, desk, mix);
    desk_free(desk);
    return buffer;
}

static struct ring_mix
mix_with(double proved_db, double less_db)
{
    return (struct ring_mix){.mix = 1,
                             .rings = 2,
                             .cuts = 1,
                             .speech_db = NAN,
                             .won_db = NAN,
                             .proved_db = proved_db,
                             .alone_db = 7,
                             .less_db = less_db,
                             .step_db = 0.5};
}

static void
one_that_was_pushed_has_what_it_has(void **state)
{
    struct ring_mix mix = mix_with(6, 0);

    (void)state;
    assert_string_equal(says(&mix), "mix 2: 2 rings, 1 cut; 6 dB proved left (in steps of 0.5 dB)");
}

static void
one_that_is_closed_has_none_now(void **state)
{
    struct ring_mix mix = mix_with(NAN, 0);

    (void)state;
    mix.alone_db = NAN;
    assert_string_equal(says(&mix), "mix 2: 2 rings, 1 cut; nothing proved yet");
    mix.closed = true;
    assert_string_equal(says(&mix), "mix 2: 2 rings, 1 cut; closed now");
}

static void
one_that_was_not_pushed_may_have_less(void **state)
{
    struct ring_mix mix = mix_with(5.5, 0.6);
    char words[100];
    struct text text;

    (void)state;
    text_init(&text, words, sizeof words);
    proof_says_less(&text, 0.6);
    assert_string_equal(words, "; not pushed itself: up to 0.6 dB less");
    assert_string_equal(says(&mix), "mix 2: 2 rings, 1 cut; 5.5 dB proved left (in steps of 0.5 "
                                    "dB); not pushed itself: up to 0.6 dB less");
}

/* What is past, or no margin, is not made smaller still. */
static void
it_is_said_of_a_margin_alone(void **state)
{
    struct ring_mix past = mix_with(-1, 0.6), alone = mix_with(NAN, 0.6);

    (void)state;
    assert_string_equal(says(&past),
                        "mix 2: 2 rings, 1 cut; 1 dB past what was proved (in steps of "
                        "0.5 dB)");
    assert_string_equal(says(&alone), "mix 2: 2 rings, 1 cut; alone 7 dB, which is not the margin "
                                      "(in steps of 0.5 dB)");
}

/* From two metres "proved 9.8 dB" would be a margin. */
static void
in_large_letters_only_what_is_a_figure_has_one(void **state)
{
    static const struct {
        enum ring_kind kind;
        const char *says;
    } rows[] = {{RING_PROVED, "proved"}, {RING_RISE, "rise"}, {RING_STEP_BACK, "step back 9.8 dB"}};
    char buffer[SAYS_SIZE];

    (void)state;
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct ring_event event = {.kind = rows[i].kind, .db = 9.8, .hz = NAN};

        says_event_large(buffer, &event);
        assert_string_equal(buffer, rows[i].says);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_that_was_pushed_has_what_it_has),
        cmocka_unit_test(one_that_was_not_pushed_may_have_less),
        cmocka_unit_test(one_that_is_closed_has_none_now),
        cmocka_unit_test(in_large_letters_only_what_is_a_figure_has_one),
        cmocka_unit_test(it_is_said_of_a_margin_alone),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
