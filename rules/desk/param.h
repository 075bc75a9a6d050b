/* SPDX-License-Identifier: MIT */
/* The one list of what a desk can publish. Everything that needs the parameters (profile loading,
 * `gainwarden explain`, the report, the documents) loops over it; nothing types them a second time.
 *
 * Unity is 0 dB. Levels are dB, frequencies Hz. An index is 0-based in the program and 1-based in
 * everything a person reads.
 */
#ifndef GAINWARDEN_RULES_PARAM_H
#define GAINWARDEN_RULES_PARAM_H

#include <stdbool.h>
#include <stddef.h>

enum index_kind {
    INDEX_NONE,
    INDEX_INPUT,
    INDEX_MIX,
    INDEX_GROUP,
    INDEX_INPUT_EQ_BAND,
    INDEX_MIX_GRAPHIC_BAND,
    INDEX_MIX_EQ_BAND,
    INDEX_SPECTRA, /* from here on: what no desk model keeps, for it is another in a moment */
    INDEX_INPUT_SPECTRUM_BAND = INDEX_SPECTRA,
    INDEX_MIX_SPECTRUM_BAND,
    INDEX_KINDS
};

enum unit {
    UNIT_DB,
    UNIT_HZ,
    UNIT_MS,
    UNIT_SLOPE,
    UNIT_FACTOR,
    UNIT_INDEX,
    UNIT_SWITCH,
    UNIT_WORD,
    UNIT_TEXT
};

enum tap { TAP_PRE_EQ, TAP_PRE_FADER, TAP_POST_FADER };

enum shape {
    SHAPE_PEAK,
    SHAPE_LOW_SHELF,
    SHAPE_HIGH_SHELF,
    SHAPE_LOW_PASS,
    SHAPE_HIGH_PASS,
    SHAPE_NOTCH
};

/* What a parameter is for, what matters most first. */
enum difference_class {
    DIFFERENCE_PROTECTION, /* limiters, high-passes, output equalisers, 48 V */
    DIFFERENCE_GAIN,
    DIFFERENCE_ROUTING,
    DIFFERENCE_FILTER, /* an input's equaliser, gate and compressor */
    DIFFERENCE_LEVEL,  /* what hands ride: faders, sends, masters, mutes */
    DIFFERENCE_LABEL,
    DIFFERENCE_METER, /* no setting: never compared */
    DIFFERENCE_CLASSES
};

/* What a parameter is part of, for a look at two set-ups rather than at one that drifted: each
 * setting is of exactly one kind, whoever's hands are on it. A make-up gain is structure because it
 * is part of the path gain; the compressor around it shapes the sound, as a gate does, and stands
 * with the filters. A switch stands with what it switches, but for those that open and close a
 * path. */
enum difference_kind {
    DIFFERENCE_OF_NOTHING, /* meters and the like */
    DIFFERENCE_OF_PROTECTION,
    DIFFERENCE_OF_STRUCTURE, /* what makes up the path gains */
    DIFFERENCE_OF_FILTERS,   /* high-passes, equalisers, gates and compressors */
    DIFFERENCE_OF_ROUTING,   /* taps, groups, patch, on and off, mutes */
    DIFFERENCE_OF_LABELS,
    DIFFERENCE_KINDS
};

/* X(enumerator, name, row index, column index, unit, class, kind, least, most, when absent, help)
 *
 * `when absent` is what a desk has that lacks the control altogether (no pad: 0 dB of pad), used
 * when the profile does not name the parameter and then printed in the report. NAN: there is no
 * such value, and a check that needs the parameter ends as not known. What the room is doing is a
 * parameter too, so that every way in which desks answer serves it. */
#define PARAM_LIST(X)                                                                              \
    X(INPUT_NAME, "input.name", INPUT, NONE, TEXT, LABEL, LABELS, 0, 0, NAN, "label of the input") \
    X(INPUT_PREAMP_GAIN, "input.preamp_gain", INPUT, NONE, DB, GAIN, STRUCTURE, -40, 90, NAN,      \
      "analogue gain of the preamp that feeds the input")                                          \
    X(INPUT_PAD, "input.pad", INPUT, NONE, DB, GAIN, STRUCTURE, 0, 60, 0,                          \
      "attenuation before the preamp, as a positive number; 0 when it is out")                     \
    X(INPUT_TRIM, "input.trim", INPUT, NONE, DB, GAIN, STRUCTURE, -60, 60, 0,                      \
      "digital gain after the converter")                                                          \
    X(INPUT_PREAMP, "input.preamp", INPUT, NONE, INDEX, ROUTING, ROUTING, 0, 4095, NAN,            \
      "which preamp feeds the input; two inputs may share one")                                    \
    X(INPUT_PHANTOM, "input.phantom", INPUT, NONE, SWITCH, PROTECTION, PROTECTION, 0, 1, NAN,      \
      "48 V phantom power")                                                                        \
    X(INPUT_POLARITY, "input.polarity", INPUT, NONE, SWITCH, ROUTING, ROUTING, 0, 1, 0,            \
      "polarity inverted")                                                                         \
    X(INPUT_DELAY, "input.delay", INPUT, NONE, MS, ROUTING, ROUTING, 0, 5000, 0,                   \
      "delay of the input")                                                                        \
    X(INPUT_MUTE, "input.mute", INPUT, NONE, SWITCH, LEVEL, ROUTING, 0, 1, NAN,                    \
      "input muted, so that its sends are silent")                                                 \
    X(INPUT_FADER, "input.fader", INPUT, NONE, DB, LEVEL, STRUCTURE, -200, 30, NAN,                \
      "the input's fader")                                                                         \
    X(INPUT_LEVEL, "input.level", INPUT, NONE, DB, METER, NOTHING, -200, 30, NAN,                  \
      "input meter, dB full scale")                                                                \
    X(INPUT_SPECTRUM_BAND_LEVEL, "input.spectrum.band.level", INPUT, INPUT_SPECTRUM_BAND, DB,      \
      METER, NOTHING, -200, 30, NAN, "one band of the input's spectrum, dB full scale")            \
    X(INPUT_HIGH_PASS_ON, "input.high_pass.on", INPUT, NONE, SWITCH, PROTECTION, FILTERS, 0, 1,    \
      NAN, "high-pass filter of the input in circuit")                                             \
    X(INPUT_HIGH_PASS_FREQ, "input.high_pass.freq", INPUT, NONE, HZ, PROTECTION, FILTERS, 1,       \
      24000, NAN, "its -3 dB corner")                                                              \
    X(INPUT_HIGH_PASS_SLOPE, "input.high_pass.slope", INPUT, NONE, SLOPE, PROTECTION, FILTERS, 3,  \
      96, NAN, "its slope")                                                                        \
    X(INPUT_EQ_ON, "input.eq.on", INPUT, NONE, SWITCH, FILTER, FILTERS, 0, 1, 1,                   \
      "the input's equaliser in circuit")                                                          \
    X(INPUT_EQ_BAND_ON, "input.eq.band.on", INPUT, INPUT_EQ_BAND, SWITCH, FILTER, FILTERS, 0, 1,   \
      1, "one band on")                                                                            \
    X(INPUT_EQ_BAND_SHAPE, "input.eq.band.shape", INPUT, INPUT_EQ_BAND, WORD, FILTER, FILTERS, 0,  \
      5, SHAPE_PEAK, "its shape")                                                                  \
    X(INPUT_EQ_BAND_FREQ, "input.eq.band.freq", INPUT, INPUT_EQ_BAND, HZ, FILTER, FILTERS, 1,      \
      48000, NAN, "its centre or corner")                                                          \
    X(INPUT_EQ_BAND_GAIN, "input.eq.band.gain", INPUT, INPUT_EQ_BAND, DB, FILTER, FILTERS, -60,    \
      60, NAN, "its gain")                                                                         \
    X(INPUT_EQ_BAND_Q, "input.eq.band.q", INPUT, INPUT_EQ_BAND, FACTOR, FILTER, FILTERS, 0.01,     \
      1000, NAN, "its Q")                                                                          \
    X(INPUT_GATE_ON, "input.gate.on", INPUT, NONE, SWITCH, FILTER, FILTERS, 0, 1, 0,               \
      "gate in circuit")                                                                           \
    X(INPUT_GATE_THRESHOLD, "input.gate.threshold", INPUT, NONE, DB, FILTER, FILTERS, -200, 60,    \
      NAN, "its threshold")                                                                        \
    X(INPUT_COMP_ON, "input.comp.on", INPUT, NONE, SWITCH, FILTER, FILTERS, 0, 1, 0,               \
      "compressor in circuit")                                                                     \
    X(INPUT_COMP_THRESHOLD, "input.comp.threshold", INPUT, NONE, DB, FILTER, FILTERS, -200, 60,    \
      NAN, "its threshold")                                                                        \
    X(INPUT_COMP_RATIO, "input.comp.ratio", INPUT, NONE, FACTOR, FILTER, FILTERS, 1, 1000, NAN,    \
      "its ratio, to 1")                                                                           \
    X(INPUT_COMP_MAKEUP, "input.comp.makeup", INPUT, NONE, DB, GAIN, STRUCTURE, -60, 60, 0,        \
      "its make-up gain")                                                                          \
    X(INPUT_GROUP, "input.group", INPUT, GROUP, SWITCH, ROUTING, ROUTING, 0, 1, 0,                 \
      "input belongs to the group")                                                                \
    X(SEND_ON, "send.on", INPUT, MIX, SWITCH, LEVEL, ROUTING, 0, 1, 1,                             \
      "send of the input into the mix is on")                                                      \
    X(SEND_LEVEL, "send.level", INPUT, MIX, DB, LEVEL, STRUCTURE, -200, 30, NAN, "its level")      \
    X(SEND_TAP, "send.tap", INPUT, MIX, WORD, ROUTING, ROUTING, 0, 2, NAN,                         \
      "where it is taken from")                                                                    \
    X(MIX_NAME, "mix.name", MIX, NONE, TEXT, LABEL, LABELS, 0, 0, NAN, "label of the mix")         \
    X(MIX_FADER, "mix.fader", MIX, NONE, DB, LEVEL, STRUCTURE, -200, 30, NAN,                      \
      "the master: the mix's own fader")                                                           \
    X(MIX_MUTE, "mix.mute", MIX, NONE, SWITCH, LEVEL, ROUTING, 0, 1, 0, "mix muted")               \
    X(MIX_TRIM, "mix.trim", MIX, NONE, DB, GAIN, STRUCTURE, -60, 60, 0,                            \
      "digital gain of the mix besides its fader")                                                 \
    X(MIX_DELAY, "mix.delay", MIX, NONE, MS, ROUTING, ROUTING, 0, 5000, 0, "delay of the mix")     \
    X(MIX_LEVEL, "mix.level", MIX, NONE, DB, METER, NOTHING, -200, 30, NAN,                        \
      "mix output meter, dB full scale")                                                           \
    X(MIX_SPECTRUM_BAND_LEVEL, "mix.spectrum.band.level", MIX, MIX_SPECTRUM_BAND, DB, METER,       \
      NOTHING, -200, 30, NAN, "one band of the mix's spectrum, dB full scale")                     \
    X(MIX_GRAPHIC_ON, "mix.graphic.on", MIX, NONE, SWITCH, PROTECTION, FILTERS, 0, 1, 1,           \
      "graphic equaliser in circuit")                                                              \
    X(MIX_GRAPHIC_BAND_GAIN, "mix.graphic.band.gain", MIX, MIX_GRAPHIC_BAND, DB, PROTECTION,       \
      FILTERS, -60, 60, NAN, "gain of one band")                                                   \
    X(MIX_GRAPHIC_BAND_FREQ, "mix.graphic.band.freq", MIX, MIX_GRAPHIC_BAND, HZ, PROTECTION,       \
      FILTERS, 1, 48000, NAN, "its centre; 31 third-octave or 10 octave bands need not be named")  \
    X(MIX_EQ_ON, "mix.eq.on", MIX, NONE, SWITCH, PROTECTION, FILTERS, 0, 1, 1,                     \
      "parametric equaliser in circuit")                                                           \
    X(MIX_EQ_BAND_ON, "mix.eq.band.on", MIX, MIX_EQ_BAND, SWITCH, PROTECTION, FILTERS, 0, 1, 1,    \
      "one band on")                                                                               \
    X(MIX_EQ_BAND_SHAPE, "mix.eq.band.shape", MIX, MIX_EQ_BAND, WORD, PROTECTION, FILTERS, 0, 5,   \
      SHAPE_PEAK, "its shape")                                                                     \
    X(MIX_EQ_BAND_FREQ, "mix.eq.band.freq", MIX, MIX_EQ_BAND, HZ, PROTECTION, FILTERS, 1, 48000,   \
      NAN, "its centre or corner")                                                                 \
    X(MIX_EQ_BAND_GAIN, "mix.eq.band.gain", MIX, MIX_EQ_BAND, DB, PROTECTION, FILTERS, -60, 60,    \
      NAN, "its gain")                                                                             \
    X(MIX_EQ_BAND_Q, "mix.eq.band.q", MIX, MIX_EQ_BAND, FACTOR, PROTECTION, FILTERS, 0.01, 1000,   \
      NAN, "its Q")                                                                                \
    X(MIX_HIGH_PASS_ON, "mix.high_pass.on", MIX, NONE, SWITCH, PROTECTION, FILTERS, 0, 1, 0,       \
      "high-pass filter of the mix in circuit")                                                    \
    X(MIX_HIGH_PASS_FREQ, "mix.high_pass.freq", MIX, NONE, HZ, PROTECTION, FILTERS, 1, 24000, NAN, \
      "its -3 dB corner")                                                                          \
    X(MIX_HIGH_PASS_SLOPE, "mix.high_pass.slope", MIX, NONE, SLOPE, PROTECTION, FILTERS, 3, 96,    \
      NAN, "its slope")                                                                            \
    X(MIX_LIMITER_ON, "mix.limiter.on", MIX, NONE, SWITCH, PROTECTION, PROTECTION, 0, 1, NAN,      \
      "limiter in circuit")                                                                        \
    X(MIX_LIMITER_THRESHOLD, "mix.limiter.threshold", MIX, NONE, DB, PROTECTION, PROTECTION, -200, \
      60, NAN, "its threshold")                                                                    \
    X(MIX_LIMITER_RATIO, "mix.limiter.ratio", MIX, NONE, FACTOR, PROTECTION, PROTECTION, 1, 1000,  \
      NAN, "its ratio, to 1")                                                                      \
    X(MIX_LIMITER_ATTACK, "mix.limiter.attack", MIX, NONE, MS, PROTECTION, PROTECTION, 0, 1000,    \
      NAN, "how long it takes to hold a peak")                                                     \
    X(MIX_LIMITER_RELEASE, "mix.limiter.release", MIX, NONE, MS, PROTECTION, PROTECTION, 0, 60000, \
      NAN, "how long it takes to let go again")                                                    \
    X(GROUP_FADER, "group.fader", GROUP, NONE, DB, LEVEL, STRUCTURE, -200, 30, NAN,                \
      "fader of the group")                                                                        \
    X(GROUP_MUTE, "group.mute", GROUP, NONE, SWITCH, LEVEL, ROUTING, 0, 1, 0,                      \
      "group muted: as if its fader were at off")                                                  \
    X(DESK_TALKBACK, "desk.talkback", NONE, NONE, SWITCH, LEVEL, ROUTING, 0, 1, NAN,               \
      "talkback open")                                                                             \
    X(DESK_OSCILLATOR, "desk.oscillator", NONE, NONE, SWITCH, LEVEL, ROUTING, 0, 1, NAN,           \
      "test oscillator on")                                                                        \
    X(DESK_SCENE, "desk.scene", NONE, NONE, TEXT, LABEL, LABELS, 0, 0, NAN, "scene in use")        \
    X(DESK_ROOM, "desk.room", NONE, NONE, WORD, METER, NOTHING, 0, 3, NAN,                         \
      "what the room is doing, told by the desk or a cue: what may interrupt it changes with it")

#define PARAM_ENUMERATOR(id, name, row, column, unit, class, kind, least, most, absent, help)      \
    PARAM_##id,
enum param_id { PARAM_LIST(PARAM_ENUMERATOR) PARAMS };
#undef PARAM_ENUMERATOR

struct param {
    const char *name;
    enum index_kind row;    /* INDEX_NONE: the desk has one */
    enum index_kind column; /* INDEX_NONE: one per row */
    enum unit unit;
    enum difference_class class;
    enum difference_kind kind;
    double least; /* legal range, in the unit */
    double most;
    double absent; /* see PARAM_LIST; NAN when there is none */
    const char *help;
};

extern const struct param params[PARAMS];

/* Levels of a spectrum: they come as whole frames, many a second, and stand in no desk. */
static inline bool
param_is_of_spectrum(enum param_id id)
{
    return params[id].column >= INDEX_SPECTRA;
}

/* The parameter called `name`, or PARAMS. */
enum param_id param_find(const char *name);

/* Words a UNIT_WORD parameter may take, ended by NULL; NULL for any other parameter. The value is
 * the position in the list: enum tap or enum shape. */
const char *const *param_words(enum param_id id);

/* Position of `word` in param_words(id), or -1. */
int param_word(enum param_id id, const char *word);

/* "input", "mix.graphic.band", ...: as the profile spells a count. "" for INDEX_NONE. */
const char *index_name(enum index_kind kind);

/* The short name a placeholder uses for the index: "input", "mix", "group", "band". */
const char *index_placeholder(enum index_kind kind);

/* "dB", "Hz", "dB per octave", "on or off", ... */
const char *unit_name(enum unit unit);

/* Faders, sends and meters reach this far down, and may be fully off: -HUGE_VAL dB. */
#define PARAM_OFF_BELOW_DB (-200.0)
bool param_may_be_off(enum param_id id);

/* True when a number may stand for the parameter: in range, and never NaN. */
bool param_accepts(enum param_id id, double number);

#endif
