/* SPDX-License-Identifier: MIT */
/* Path gain: one input into one mix, the electrical gain in dB from the input socket to the mix
 * output.
 *
 *   socket - pad + preamp + trim --+--> high-pass, equaliser, make-up --+--> fader, groups --+
 *                           pre-eq |                          pre-fader |         post-fader |
 *         +------------------------+------------------------------------+--------------------+
 *         |
 *         +--> send --> mix equaliser, graphic, mix high-pass --> master --> mix trim --> output
 *
 * A pre-eq tap leaves out high-pass, equaliser and dynamics; only a post-fader tap follows fader
 * and groups. What a compressor takes away depends on the signal and is left out: make-up alone is
 * the gain of quiet passages, which is when feedback starts. Mutes are no gain: a muted path is
 * asked for by its owner.
 */
#ifndef GAINWARDEN_RULES_PATH_H
#define GAINWARDEN_RULES_PATH_H

#include <stdbool.h>

#include "look/look.h"
#include "sound/filter.h"

/* The parts of a path that do not depend on frequency, dB. */
struct path_level {
    double preamp_db, pad_db, trim_db;
    double makeup_db; /* 0 for a pre-eq tap */
    double fader_db;  /* with the groups; 0 unless the tap is post-fader */
    double send_db, master_db, mix_trim_db;
    double sum_db; /* -HUGE_VAL: the path is off */
    bool filtered; /* the input's high-pass and equaliser lie in it */
};

enum { FILTERS_MOST = 128 };

/* The control on the desk behind a biquad. */
struct control {
    enum param_id gain; /* which tells what kind of band it is */
    int band;
    enum shape shape;
    double freq_hz, gain_db, q;
};

/* A cascade: biquads in the order of their bands, and one Butterworth high-pass. */
struct filters {
    struct biquad biquads[FILTERS_MOST];
    struct control controls[FILTERS_MOST]; /* of each biquad */
    int count;
    int high_pass_order; /* 0: none */
    double high_pass_hz;
    double rate_hz;
    double graphic_least, graphic_most; /* widths of its graphic bands, octaves; most 0: none */
};

/* Each returns false when a part is not known; `look` then holds which. */
bool path_level(struct look *look, int input, int mix, struct path_level *level);

/* The same of any desk, for whoever asks for no reason. */
bool path_level_on(const struct desk *desk, int input, int mix, struct path_level *level);

/* Gain of the loudest path into the mix, muted or not. What asks for it rests on every input: the
 * verdict remembers so. */
bool path_loudest_db(struct look *look, int mix, double *loudest_db);
bool path_input_filters(struct look *look, int input, struct filters *filters);
bool path_mix_filters(struct look *look, int mix, struct filters *filters);

/* The mix's graphic and parametric equaliser alone. */
bool path_mix_equalisers(struct look *look, int mix, struct filters *filters);

/* Response of the cascade in dB. */
double filters_db(const struct filters *filters, double freq_hz);

/* The same cascade, so that they differ nowhere. */
bool filters_same(const struct filters *one, const struct filters *other);

/* What these read, for the tables of checks. */
#define PATH_LEVEL_READS                                                                           \
    PARAM_INPUT_PREAMP_GAIN, PARAM_INPUT_PAD, PARAM_INPUT_TRIM, PARAM_INPUT_COMP_ON,               \
        PARAM_INPUT_COMP_MAKEUP, PARAM_INPUT_FADER, PARAM_INPUT_GROUP, PARAM_GROUP_FADER,          \
        PARAM_SEND_ON, PARAM_SEND_LEVEL, PARAM_SEND_TAP, PARAM_MIX_FADER, PARAM_MIX_TRIM
#define PATH_INPUT_FILTER_READS                                                                    \
    PARAM_INPUT_HIGH_PASS_ON, PARAM_INPUT_HIGH_PASS_FREQ, PARAM_INPUT_HIGH_PASS_SLOPE,             \
        PARAM_INPUT_EQ_ON, PARAM_INPUT_EQ_BAND_ON, PARAM_INPUT_EQ_BAND_SHAPE,                      \
        PARAM_INPUT_EQ_BAND_FREQ, PARAM_INPUT_EQ_BAND_GAIN, PARAM_INPUT_EQ_BAND_Q
#define PATH_MIX_EQUALISER_READS                                                                   \
    PARAM_MIX_EQ_ON, PARAM_MIX_EQ_BAND_ON, PARAM_MIX_EQ_BAND_SHAPE, PARAM_MIX_EQ_BAND_FREQ,        \
        PARAM_MIX_EQ_BAND_GAIN, PARAM_MIX_EQ_BAND_Q, PARAM_MIX_GRAPHIC_ON,                         \
        PARAM_MIX_GRAPHIC_BAND_GAIN, PARAM_MIX_GRAPHIC_BAND_FREQ
#define PATH_MIX_FILTER_READS                                                                      \
    PARAM_MIX_HIGH_PASS_ON, PARAM_MIX_HIGH_PASS_FREQ, PARAM_MIX_HIGH_PASS_SLOPE,                   \
        PATH_MIX_EQUALISER_READS

#endif
