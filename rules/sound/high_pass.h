/* SPDX-License-Identifier: MIT */
/* What the three high-pass checks share: the filters of a strip, and the paths on which they are
 * judged.
 *
 * A path is judged where it is open and matters: its gain lies within HIGH_PASS_MATTERS_DB of the
 * loudest into the same mix. The strip's filter is in it unless the tap lies before the equaliser;
 * what the mix filters itself counts in its favour, wherever the tap is.
 */
#ifndef GAINWARDEN_RULES_HIGH_PASS_H
#define GAINWARDEN_RULES_HIGH_PASS_H

#include <stdbool.h>

#include "core/credit.h"
#include "look/look.h"
#include "sound/path.h"

#define HIGH_PASS_MATTERS_DB 20.0

enum { HIGH_PASS_OCTAVES_UNDER }; /* the setting of high-pass-low, for high-pass-missing as well */

/* The high-passes of one strip: its filter, and bands of its equaliser that are set to be one, each
 * a Butterworth filter; a band of order 2 at its frequency. */
struct high_pass {
    bool on;          /* there is one in circuit */
    double corner_hz; /* of the one with the highest corner, */
    int order;        /* and its order */
    double loss_db;   /* what all of them take off together, at the frequency that was asked for */
};

/* The source of an input that takes part in the high-pass checks: it wants a high-pass and is
 * neither muted nor unused. NULL otherwise; then the check has ended, as not asked or as not known.
 */
const struct source *high_pass_source(struct look *look, int input);

/* The filter of the input, its loss taken at `at_hz`. False when not known. */
bool high_pass_read(struct look *look, int input, double at_hz, struct high_pass *pass);

/* Whether a band of the input's equaliser in circuit is set to high-pass, wherever its corner is. False
 * when not known. */
bool high_pass_has_band(struct look *look, int input, bool *has);

/* Adds the bands of its equaliser that are set to high-pass. False when not known. */
bool high_pass_add_bands(struct look *look, int input, double at_hz, struct high_pass *pass);

/* The frequency at which the path must lose 3 dB so that its corner is not far under the usual ones
 * of the source: `octaves` under the lowest of them. */
double high_pass_least_hz(const struct source *source, double octaves);

/* Whether filters that take off loss_db there have their common corner at or above it. */
bool high_pass_is_enough(double loss_db);

/* What the mix filters itself, likewise. */
bool high_pass_of_mix(struct look *look, int mix, double at_hz, struct high_pass *pass);

enum high_pass_path {
    HIGH_PASS_CLOSED,  /* no send is open, */
    HIGH_PASS_BESIDE,  /* or none that has the strip's filter in it */
    HIGH_PASS_RIGHT,   /* what is open is filtered as it should be, or does not matter */
    HIGH_PASS_UNKNOWN, /* the reason is remembered */
    HIGH_PASS_FAULT
};

/* Whether the open path matters: RIGHT when it does not, FAULT when it does. */
enum high_pass_path high_pass_matters(struct look *look, int input, int mix);

/* Looks for a path that has the strip's faulty filter in it; *mix is where. at_hz > 0: the filter
 * is too low, and a path is right whose mix takes off the rest of 3 dB there. */
enum high_pass_path high_pass_judge(struct look *look, int input, const struct high_pass *pass,
                                    double at_hz, int *mix);

/* Ends the check that found no fault. */
void high_pass_end(struct look *look, enum high_pass_path path);

/* The lowest note of the input's player or kind of source; 0 when neither is known. */
double high_pass_lowest_hz(const struct look *look, int input, const struct source *source);

/* Appends "10 log10(1 + (100 / 40)^4) = 16", the loss in dB as a worked example shows it. Returns
 * it as written. */
double high_pass_add_loss(struct text *text, int order, double corner_hz, double freq_hz);

#define HIGH_PASS_READS                                                                            \
    PARAM_INPUT_NAME, PARAM_INPUT_MUTE, PARAM_INPUT_HIGH_PASS_ON, PARAM_INPUT_HIGH_PASS_FREQ,      \
        PARAM_INPUT_HIGH_PASS_SLOPE
#define HIGH_PASS_HAS_BAND_READS                                                                   \
    PARAM_INPUT_EQ_ON, PARAM_INPUT_EQ_BAND_ON, PARAM_INPUT_EQ_BAND_SHAPE
#define HIGH_PASS_BAND_READS HIGH_PASS_HAS_BAND_READS, PARAM_INPUT_EQ_BAND_FREQ
#define HIGH_PASS_PATH_READS PATH_LEVEL_READS, LOOK_SEND_READS
#define HIGH_PASS_MIX_READS                                                                        \
    PARAM_MIX_HIGH_PASS_ON, PARAM_MIX_HIGH_PASS_FREQ, PARAM_MIX_HIGH_PASS_SLOPE, PARAM_MIX_EQ_ON,  \
        PARAM_MIX_EQ_BAND_ON, PARAM_MIX_EQ_BAND_SHAPE, PARAM_MIX_EQ_BAND_FREQ

/* The citation of the corners in sources[], for the explanations. */
#define HIGH_PASS_CORNERS                                                                          \
    "Corners for vocals, overheads and kick, about 150 Hz for acoustic guitar, about 500 Hz for "  \
    "hi-hat: " CREDIT_HIGH_PASS "; the other corners: " CREDIT_PRACTICE "."

/* Where they look, for the explanations. */
#define HIGH_PASS_PATHS                                                                            \
    "A path counts while it is open and its gain lies within 20 dB of the loudest into the same "  \
    "mix (common practice, no source). A band of the equaliser set to high-pass counts as a "      \
    "filter of order 2 at its frequency, and what the mix filters itself counts, too."

#endif
