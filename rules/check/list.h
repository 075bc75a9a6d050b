/* SPDX-License-Identifier: MIT */
/* Every check, once: X(enumerator, name of its table). The order is the order of `gainwarden
 * explain` and of the report's counts.
 */
#ifndef GAINWARDEN_RULES_CHECK_LIST_H
#define GAINWARDEN_RULES_CHECK_LIST_H

#define CHECK_LIST(X)                                                                              \
    X(UNUSED_PREAMP_GAIN, unused_preamp_gain)                                                      \
    X(TOO_MANY_CUTS, too_many_cuts)                                                                \
    X(HIGH_PASS_MISSING, high_pass_missing)                                                        \
    X(HIGH_PASS_LOW, high_pass_low)                                                                \
    X(HIGH_PASS_HIGH, high_pass_high)                                                              \
    X(MASTER_OFF_UNITY, master_off_unity)                                                          \
    X(OWN_SEND_OFF_UNITY, own_send_off_unity)                                                      \
    X(SEND_FOLLOWS_FADER, send_follows_fader)                                                      \
    X(BOOST_INTO_WEDGE, boost_into_wedge)                                                          \
    X(MAKE_UP_INTO_WEDGE, make_up_into_wedge)                                                      \
    X(OPEN_UNUSED_INPUT, open_unused_input)                                                        \
    X(OPEN_MICROPHONES, open_microphones)                                                          \
    X(EARS_UNPROTECTED, ears_unprotected)                                                          \
    X(PHANTOM_MISMATCH, phantom_mismatch)                                                          \
    X(INPUT_HOT, input_hot)                                                                        \
    X(INPUT_FAINT, input_faint)                                                                    \
    X(VALUE_JUMPED, value_jumped)                                                                  \
    X(MOVED_FROM_APPROVED, moved_from_approved)                                                    \
    X(PROTECTION_LOST, protection_lost)                                                            \
    X(LEFT_ON, left_on)                                                                            \
    X(MARGIN_LEFT, margin_left)                                                                    \
    X(LOOP_MARGIN, loop_margin)                                                                    \
    X(MICROPHONE_AIM, microphone_aim)                                                              \
    X(MIX_RINGING, mix_ringing)

#define CHECK_ENUMERATOR(number, table) CHECK_##number,
enum check_number { CHECK_LIST(CHECK_ENUMERATOR) CHECKS };
#undef CHECK_ENUMERATOR

#endif
