/* SPDX-License-Identifier: MIT */
/* Words: every kind has some, no mark is left in them, and the way back stands first. */
#include "unit.h"

#include <math.h>
#include <string.h>

#include "proof_desk.h"
#include "ring/say.h"

static struct ring_event
event_of(enum ring_kind kind, bool known)
{
    return (struct ring_event){.kind = kind,
                               .mix = known ? 1 : -1,
                               .input = known ? 2 : -1,
                               .hz = known ? 2500 : (double)NAN,
                               .other_hz = known ? 315 : (double)NAN,
                               .db = known ? 4.5 : (double)NAN,
                               .won_db = known ? 3 : (double)NAN};
}

static const char *
says(const struct ring_event *event)
{
    static char buffer[400];
    struct desk *desk = proof_desk_plain();
    struct text text;

    text_init(&text, buffer, sizeof buffer);
    ring_event_says(&text, desk, event);
    desk_free(desk);
    assert_false(text.cut);
    return buffer;
}

static void
check_words(const char *words)
{
    assert_true(strlen(words) >= 4);
    assert_null(strpbrk(words, "@[]"));
    assert_null(strstr(words, "nan"));
    assert_null(strstr(words, "  "));
}

static void
every_kind_has_words_with_and_without_figures(void **state)
{
    (void)state;
    for (int kind = 0; kind < RING_KINDS; kind++)
        for (int known = 0; known < 2; known++) {
            struct ring_event event = event_of((enum ring_kind)kind, known);

            check_words(says(&event));
        }
}

/* A master or send that was off, or goes there. */
static void
every_kind_has_words_where_a_figure_is_no_number(void **state)
{
    (void)state;
    for (int kind = 0; kind < RING_KINDS; kind++)
        for (int sign = -1; sign <= 1; sign += 2) {
            struct ring_event event = event_of((enum ring_kind)kind, true);

            event.db = event.won_db = sign * HUGE_VAL;
            check_words(says(&event));
        }
}

static void
what_proves_nothing_says_what_to_do(void **state)
{
    struct ring_event gate = event_of(RING_GATE, true), unknown = event_of(RING_NOT_KNOWN, true);

    (void)state;
    assert_contains(says(&gate), "Gate off while ringing out");
    assert_contains(says(&unknown), "`gainwarden audit` lists what is missing");
}

static void
a_level_may_be_off(void **state)
{
    struct ring_event event = event_of(RING_MASTER_OFF_UNITY, true);

    (void)state;
    event.db = -3;
    assert_contains(says(&event), "is at -3 dB, not at 0");
    event.db = -HUGE_VAL;
    assert_contains(says(&event), "is off, not at 0");
}

static void
every_step_has_words(void **state)
{
    struct desk *desk = proof_desk_plain();

    (void)state;
    for (int next = 0; next < RING_NEXTS; next++)
        for (int known = 0; known < 2; known++) {
            struct ring_state at = {.next = (enum ring_next)next,
                                    .next_mix = known ? 1 : -1,
                                    .next_db = known ? 6 : (double)NAN,
                                    .next_hz = known ? 630 : (double)NAN};
            char buffer[100]; /* it is shown large */
            struct text text;

            text_init(&text, buffer, sizeof buffer);
            ring_next_says(&text, desk, &at);
            assert_false(text.cut);
            check_words(buffer);
        }
    desk_free(desk);
}

static void
names_are_there_once(void **state)
{
    (void)state;
    for (int kind = 0; kind < RING_KINDS; kind++)
        for (int other = 0; other < kind; other++)
            assert_string_not_equal(ring_kind_name((enum ring_kind)kind),
                                    ring_kind_name((enum ring_kind)other));
    for (int item = 0; item < RING_READY_ITEMS; item++)
        for (int other = 0; other < item; other++)
            assert_string_not_equal(ring_item_name((enum ring_item)item),
                                    ring_item_name((enum ring_item)other));
    assert_string_equal(ring_weight_name(RING_SEEN), "seen");
    assert_string_equal(ring_weight_name(RING_WARNING), "warning");
}

/* Where it is too loud, or nobody knows, the first words make it softer, or stop. */
static void
a_warning_begins_with_the_way_back(void **state)
{
    static const char *const first[] = {"step back",
                                        "masters down",
                                        "back with",
                                        "put ",
                                        "a scene was recalled: masters down first",
                                        "the desk is not heard: hand on the master, and no push"};

    (void)state;
    for (int kind = 0; kind < RING_KINDS; kind++) {
        struct ring_event event = event_of((enum ring_kind)kind, true);
        const char *words = says(&event);
        bool found = false;

        for (size_t i = 0; i < COUNT(first); i++)
            found |= strncmp(words, first[i], strlen(first[i])) == 0;
        if (ring_kind_weight((enum ring_kind)kind) == RING_WARNING)
            assert_row(ring_kind_name((enum ring_kind)kind), found, true);
    }
}

/* What a hand takes out again makes louder: only after a step back. */
static void
a_cut_is_put_back_only_after_a_step_back(void **state)
{
    static const enum ring_kind kinds[] = {RING_TWO_FOR_ONE, RING_NOT_RUNG};

    (void)state;
    for (size_t i = 0; i < COUNT(kinds); i++) {
        struct ring_event event = event_of(kinds[i], true);
        const char *words = says(&event), *back = strstr(words, "tep back 6 dB");

        assert_non_null(back);
        assert_true(back < strstr(words, "put "));
    }
}

static void
figures_stand_in_them(void **state)
{
    struct ring_event event = event_of(RING_CUT, true);

    (void)state;
    assert_string_equal(says(&event),
                        "a ring in mix 2 at 315 Hz: 4.5 dB out of the band of 2.5 kHz");
    event.other_hz = NAN;
    assert_string_equal(says(&event), "a ring in mix 2 at 2.5 kHz: 4.5 dB out there");
    event.hz = NAN;
    assert_string_equal(says(&event), "a ring in mix 2: 4.5 dB out there");
    event = event_of(RING_TWO_FOR_ONE, true);
    assert_contains(says(&event), "2.5 kHz and 315 Hz");
    event = event_of(RING_OTHER_OPEN, true);
    assert_contains(says(&event), "input 3");
    event = event_of(RING_QUIETER, true);
    assert_contains(says(&event), "4.5 dB for speech, for 3 dB won");
}

static void
what_is_not_ready_is_said_with_its_figure(void **state)
{
    struct desk *desk = proof_desk_plain();
    struct show *show = proof_desk_show();
    struct ring_ready ready;
    char buffer[100];
    struct text text;

    (void)state;
    desk_set_travel(desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){0, 60});
    ready = ring_ready_of(desk, show, 0, 0); /* 30 dB, others open, no high-pass */
    for (int item = 0; item < RING_READY_ITEMS; item++) {
        text_init(&text, buffer, sizeof buffer);
        ring_ready_says(&text, desk, &ready, (enum ring_item)item);
        assert_row(ring_item_name((enum ring_item)item), *buffer != '\0',
                   item == RING_READY_PREAMP || item == RING_READY_OTHERS ||
                       item == RING_READY_HIGH_PASS);
    }
    text_init(&text, buffer, sizeof buffer);
    ring_ready_says(&text, desk, &ready, RING_READY_PREAMP);
    assert_string_equal(buffer, "the preamp is 30 dB above its lowest");
    ready = ring_ready_of(desk, show, 0, -1); /* whose microphone it is is not known */
    assert_int_equal(ready.of[RING_READY_PREAMP].ready, UNSURE);
    assert_int_equal(ready.of[RING_READY_MASTER].ready, SURE_YES);
    show_free(show);
    desk_free(desk);
}

static void
ears_come_first(void **state)
{
    (void)state;
    assert_true(ring_caution_count >= 4);
    assert_contains(ring_cautions[0], "hearing");
    assert_contains(ring_cautions[1], "In-ears out");
    assert_contains(ring_cautions[2], "hand on the master");
    assert_contains(ring_cautions[3], "Local noise rules");
    assert_contains(ring_why_together, "8 dB less together");
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_has_words_with_and_without_figures),
        cmocka_unit_test(every_kind_has_words_where_a_figure_is_no_number),
        cmocka_unit_test(what_proves_nothing_says_what_to_do),
        cmocka_unit_test(a_level_may_be_off),
        cmocka_unit_test(every_step_has_words),
        cmocka_unit_test(names_are_there_once),
        cmocka_unit_test(a_warning_begins_with_the_way_back),
        cmocka_unit_test(a_cut_is_put_back_only_after_a_step_back),
        cmocka_unit_test(figures_stand_in_them),
        cmocka_unit_test(what_is_not_ready_is_said_with_its_figure),
        cmocka_unit_test(ears_come_first),
    };

    return cmocka_run_group_tests_name("ring_say", tests, NULL, NULL);
}
