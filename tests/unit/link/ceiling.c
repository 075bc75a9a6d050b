/* SPDX-License-Identifier: MIT */
/* No second sees more than per_second, also on a machine that lets what was decided wait. */
#include "unit.h"

#include <stdlib.h>

#include "link/ceiling.h"

enum { SECOND_US = 1000000, MESSAGES = 2000 };

/* Messages of a link that always has one to send: between the look at the clock and the sending up
 * to late_us pass. Fails when some second saw more than per_second. */
static void
expect_bounded(double per_second, int64_t late_us, unsigned seed)
{
    static int64_t sent_us[MESSAGES];
    struct ceiling ceiling;
    int64_t now_us = 0;

    srand(seed);
    ceiling_init(&ceiling, per_second, now_us);
    for (int i = 0; i < MESSAGES; i++) {
        for (int64_t wait_us; (wait_us = ceiling_wait_us(&ceiling, now_us)) > 0;)
            now_us += wait_us;
        now_us += late_us > 0 ? rand() % late_us : 0;
        sent_us[i] = now_us;
        ceiling_sent(&ceiling, now_us);
        if (i >= (int)per_second && now_us - sent_us[i - (int)per_second] < SECOND_US)
            fail_msg("message %d: %d within %lld us", i, (int)per_second + 1,
                     (long long)(now_us - sent_us[i - (int)per_second]));
    }
    assert_true(late_us > 0 || now_us < (int64_t)(MESSAGES / per_second * 1.02 * SECOND_US));
}

static void
test_no_second_sees_more(void **state)
{
    (void)state;
    for (unsigned seed = 1; seed <= 20; seed++) {
        expect_bounded(1, 0, seed);
        expect_bounded(3, 100000, seed);
        expect_bounded(20, 60000, seed);
        expect_bounded(400, 30000, seed);
        expect_bounded(400, 0, seed);
    }
}

int
main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_no_second_sees_more),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
