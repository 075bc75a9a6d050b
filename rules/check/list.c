/* Every check, once. The order is the order of `gainwarden explain` and of the report's counts. */
#include "check/check.h"

#include <string.h>

#define CHECK_LIST(X)                                                                              \
    X(unused_preamp_gain)                                                                          \
    X(too_many_cuts)                                                                               \
    X(high_pass_missing)                                                                           \
    X(high_pass_low)                                                                               \
    X(high_pass_high)                                                                              \
    X(master_off_unity)                                                                            \
    X(own_send_off_unity)                                                                          \
    X(send_follows_fader)                                                                          \
    X(boost_into_wedge)                                                                            \
    X(make_up_into_wedge)                                                                          \
    X(open_unused_input)                                                                           \
    X(open_microphones)                                                                            \
    X(ears_unprotected)                                                                            \
    X(phantom_mismatch)                                                                            \
    X(input_hot)                                                                                   \
    X(input_faint)                                                                                 \
    X(value_jumped)                                                                                \
    X(moved_from_approved)                                                                         \
    X(protection_lost)                                                                             \
    X(left_on)

#define CHECK_DECLARE(name) extern const struct check check_##name;
CHECK_LIST(CHECK_DECLARE)

#define CHECK_ENTRY(name) &check_##name,
const struct check *const checks[] = {CHECK_LIST(CHECK_ENTRY)};

const int check_count = (int)(sizeof checks / sizeof *checks);

const enum param_id *
check_reads(const struct check *check, bool mix)
{
    return mix && check->mix_reads ? check->mix_reads : check->reads;
}

int
check_find(const char *id)
{
    for (int i = 0; i < check_count; i++)
        if (strcmp(checks[i]->id, id) == 0)
            return i;
    return -1;
}
