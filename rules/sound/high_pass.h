/* SPDX-License-Identifier: MIT */
/* What the three high-pass checks share. */
#ifndef GAINWARDEN_RULES_HIGH_PASS_H
#define GAINWARDEN_RULES_HIGH_PASS_H

#include <stdbool.h>

#include "core/credit.h"
#include "look/look.h"

/* The source of an input that takes part in the high-pass checks: it wants a high-pass and is
 * neither muted nor unused. NULL otherwise; then the check has ended, as not asked or as not known.
 */
const struct source *high_pass_source(struct look *look, int input);

/* Whether the filter is in circuit, and its corner and order when it is. False when not known; then
 * the check has ended. */
bool high_pass_read(struct look *look, int input, bool *on, double *corner_hz, int *order);

/* The lowest note of the input's player or kind of source; 0 when neither is known. */
double high_pass_lowest_hz(const struct look *look, int input, const struct source *source);

/* Appends "10 log10(1 + (100 / 40)^4) = 16", the loss in dB as a worked example shows it. Returns
 * it as written. */
double high_pass_add_loss(struct text *text, int order, double corner_hz, double freq_hz);

#define HIGH_PASS_READS                                                                            \
    PARAM_INPUT_NAME, PARAM_INPUT_MUTE, PARAM_INPUT_HIGH_PASS_ON, PARAM_INPUT_HIGH_PASS_FREQ,      \
        PARAM_INPUT_HIGH_PASS_SLOPE

/* The citation of the corners in sources[], for the explanations. */
#define HIGH_PASS_CORNERS                                                                          \
    "Corners for vocals, overheads and kick, about 150 Hz for acoustic guitar, about 500 Hz for "  \
    "hi-hat: " CREDIT_HIGH_PASS "; the other corners: " CREDIT_PRACTICE "."

#endif
