/* SPDX-License-Identifier: MIT */
/* The fastest stretch counts, however slow the others are. */
#include "unit.h"

#include "link/stretch.h"

/* So many questions, one each `every_us`; the time after the last one. */
static int64_t
send_some(struct stretch *stretch, int count, int64_t every_us, int64_t now_us)
{
    for (int i = 0; i < count; i++)
        stretch_sent(stretch, now_us += every_us);
    return now_us;
}

static void
test_the_fastest_counts(void **state)
{
    struct stretch stretch;
    int64_t now_us;

    (void)state;
    stretch_begin(&stretch, 1000);
    now_us = send_some(&stretch, 2 * STRETCH, 10000, 1000);
    assert_near(stretch.fastest, 100, 0.01);
    now_us = send_some(&stretch, STRETCH, 1000, now_us);
    now_us = send_some(&stretch, 5 * STRETCH + 3, 50000, now_us);
    stretch_end(&stretch, now_us + 1000000);
    assert_near(stretch.fastest, 1000, 0.01);
}

static void
test_few_questions_are_a_stretch(void **state)
{
    struct stretch stretch;

    (void)state;
    stretch_begin(&stretch, 0);
    assert_near(stretch.fastest, 0, 0);
    stretch_end(&stretch, 5000);
    assert_near(stretch.fastest, 0, 0);
    stretch_end(&stretch, send_some(&stretch, 10, 2000, 0));
    assert_near(stretch.fastest, 500, 0.01);
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_fastest_counts),
        cmocka_unit_test(test_few_questions_are_a_stretch),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
