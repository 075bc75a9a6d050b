/* SPDX-License-Identifier: MIT */
#include "loudness.h"

#include <complex.h>
#include <math.h>

static const double pi = 3.14159265358979323846;

static const double levels[LOUDNESS_LEVELS] = {-120, -70, -50, -20};

static double
get(const struct desk *desk, enum param_id id, int row, int column)
{
    const struct value *value = desk_value(desk, id, row, column);

    return value->state == VALUE_KNOWN ? value_last_heard(value) : NAN;
}

/* ---- levels ---- */

static double
compressed(double db, double threshold, double ratio)
{
    return db > threshold ? threshold + (db - threshold) / ratio : db;
}

/* Behind the channel's gate and compressor. */
static double
behind_dynamics(const struct desk *desk, int input, double db)
{
    if (get(desk, PARAM_INPUT_GATE_ON, input, 0) != 0 &&
        db < get(desk, PARAM_INPUT_GATE_THRESHOLD, input, 0))
        return -HUGE_VAL;
    if (get(desk, PARAM_INPUT_COMP_ON, input, 0) != 0)
        db = compressed(db, get(desk, PARAM_INPUT_COMP_THRESHOLD, input, 0),
                        get(desk, PARAM_INPUT_COMP_RATIO, input, 0)) +
             get(desk, PARAM_INPUT_COMP_MAKEUP, input, 0);
    return db;
}

static double
behind_fader(const struct desk *desk, int input, double db)
{
    db += get(desk, PARAM_INPUT_FADER, input, 0);
    for (int group = 0; group < desk_count(desk, INDEX_GROUP); group++)
        if (get(desk, PARAM_INPUT_GROUP, input, group) != 0)
            db += get(desk, PARAM_GROUP_FADER, group, 0);
    return db;
}

static double
head_db(const struct desk *desk, int input)
{
    return get(desk, PARAM_INPUT_PREAMP_GAIN, input, 0) - get(desk, PARAM_INPUT_PAD, input, 0) +
           get(desk, PARAM_INPUT_TRIM, input, 0);
}

static double
at_output(const struct desk *desk, int input, int mix, double socket_db)
{
    double tap = get(desk, PARAM_SEND_TAP, input, mix);
    double db = socket_db + head_db(desk, input);

    if (get(desk, PARAM_SEND_ON, input, mix) == 0 ||
        get(desk, PARAM_SEND_LEVEL, input, mix) == -HUGE_VAL ||
        get(desk, PARAM_MIX_FADER, mix, 0) == -HUGE_VAL)
        return -HUGE_VAL;
    if (tap != TAP_PRE_EQ)
        db = behind_dynamics(desk, input, db);
    if (tap == TAP_POST_FADER)
        db = behind_fader(desk, input, db);
    db += get(desk, PARAM_SEND_LEVEL, input, mix) + get(desk, PARAM_MIX_FADER, mix, 0) +
          get(desk, PARAM_MIX_TRIM, mix, 0);
    if (get(desk, PARAM_MIX_LIMITER_ON, mix, 0) != 0)
        db = compressed(db, get(desk, PARAM_MIX_LIMITER_THRESHOLD, mix, 0),
                        get(desk, PARAM_MIX_LIMITER_RATIO, mix, 0));
    return isnan(tap) ? NAN : db;
}

void
loudness_of(const struct desk *desk, int input, int mix, double level_db[LOUDNESS_LEVELS])
{
    for (int i = 0; i < LOUDNESS_LEVELS; i++)
        level_db[i] = at_output(desk, input, mix, levels[i]);
}

bool
loudness_is_filtered(const struct desk *desk, int input, int mix)
{
    return get(desk, PARAM_SEND_TAP, input, mix) != TAP_PRE_EQ;
}

double
loudness_house_db(const struct desk *desk, int input)
{
    return behind_fader(desk, input, behind_dynamics(desk, input, -120 + head_db(desk, input)));
}

/* ---- filters ---- */

/* The six coefficients of the cookbook, by shape. */
static double
cookbook_db(enum shape shape, double freq, double gain_db, double q, double rate, double at)
{
    double a = pow(10, gain_db / 40), w0 = 2 * pi * fmin(freq, rate * 0.499) / rate;
    double cosine = cos(w0), alpha = sin(w0) / (2 * q), root = 2 * sqrt(a) * alpha;
    double b0 = 1, b1 = -2 * cosine, b2 = 1, a0 = 1 + alpha, a1 = -2 * cosine, a2 = 1 - alpha;
    double complex z = cexp(-I * 2 * pi * at / rate);

    switch (shape) {
    case SHAPE_PEAK:
        b0 = 1 + alpha * a, b2 = 1 - alpha * a, a0 = 1 + alpha / a, a2 = 1 - alpha / a;
        break;
    case SHAPE_LOW_SHELF:
        b0 = a * ((a + 1) - (a - 1) * cosine + root), b1 = 2 * a * ((a - 1) - (a + 1) * cosine);
        b2 = a * ((a + 1) - (a - 1) * cosine - root), a0 = (a + 1) + (a - 1) * cosine + root;
        a1 = -2 * ((a - 1) + (a + 1) * cosine), a2 = (a + 1) + (a - 1) * cosine - root;
        break;
    case SHAPE_HIGH_SHELF:
        b0 = a * ((a + 1) + (a - 1) * cosine + root), b1 = -2 * a * ((a - 1) + (a + 1) * cosine);
        b2 = a * ((a + 1) + (a - 1) * cosine - root), a0 = (a + 1) - (a - 1) * cosine + root;
        a1 = 2 * ((a - 1) - (a + 1) * cosine), a2 = (a + 1) - (a - 1) * cosine - root;
        break;
    case SHAPE_LOW_PASS:
        b0 = b2 = (1 - cosine) / 2, b1 = 1 - cosine;
        break;
    case SHAPE_HIGH_PASS:
        b0 = b2 = (1 + cosine) / 2, b1 = -(1 + cosine);
        break;
    case SHAPE_NOTCH:
        break;
    }
    return 20 * log10(cabs((b0 + b1 * z + b2 * z * z) / (a0 + a1 * z + a2 * z * z)));
}

struct equaliser {
    enum index_kind bands;
    enum param_id on, band_on, shape, freq, gain, q;
};

static void
add_equaliser(const struct desk *desk, const struct equaliser *eq, int row, double at, double *db)
{
    double rate = desk_filters(desk).rate_hz;

    if (get(desk, eq->on, row, 0) == 0)
        return;
    for (int band = 0; band < desk_count(desk, eq->bands); band++)
        if (get(desk, eq->band_on, row, band) != 0)
            *db += fmax(-150,
                        cookbook_db((enum shape)(int)get(desk, eq->shape, row, band),
                                    get(desk, eq->freq, row, band), get(desk, eq->gain, row, band),
                                    get(desk, eq->q, row, band), rate, at));
}

/* Butterworth of the order that the slope says, its corner kept in place. */
static void
add_high_pass(const struct desk *desk, enum param_id on, enum param_id freq, enum param_id slope,
              int row, double at, double *db)
{
    double rate = desk_filters(desk).rate_hz;
    double ratio = tan(pi * fmin(get(desk, freq, row, 0) / rate, 0.499)) / tan(pi * at / rate);
    double order = fmax(1, round(get(desk, slope, row, 0) / 6.0206));

    if (get(desk, on, row, 0) != 0)
        *db -= 10 * log10(1 + pow(ratio, 2 * order));
}

static double
centre_hz(int i)
{
    return 1000 * pow(10, (i - 17) / 10.0);
}

void
loudness_input_filters(const struct desk *desk, int input, double db[LOUDNESS_FREQUENCIES])
{
    static const struct equaliser eq = {INDEX_INPUT_EQ_BAND,      PARAM_INPUT_EQ_ON,
                                        PARAM_INPUT_EQ_BAND_ON,   PARAM_INPUT_EQ_BAND_SHAPE,
                                        PARAM_INPUT_EQ_BAND_FREQ, PARAM_INPUT_EQ_BAND_GAIN,
                                        PARAM_INPUT_EQ_BAND_Q};

    for (int i = 0; i < LOUDNESS_FREQUENCIES; i++) {
        db[i] = 0;
        add_equaliser(desk, &eq, input, centre_hz(i), &db[i]);
        add_high_pass(desk, PARAM_INPUT_HIGH_PASS_ON, PARAM_INPUT_HIGH_PASS_FREQ,
                      PARAM_INPUT_HIGH_PASS_SLOPE, input, centre_hz(i), &db[i]);
    }
}

/* Q of a band that is so many octaves wide at half its gain. */
static double
q_of(double octaves, double freq, double rate)
{
    double w0 = 2 * pi * freq / rate;

    return 1 / (2 * sinh(log(2) / 2 * octaves * w0 / sin(w0)));
}

/* Ten octave bands from 31.5 Hz on. */
static void
add_graphic(const struct desk *desk, int mix, double at, double *db)
{
    double rate = desk_filters(desk).rate_hz;

    if (get(desk, PARAM_MIX_GRAPHIC_ON, mix, 0) == 0)
        return;
    for (int band = 0; band < desk_count(desk, INDEX_MIX_GRAPHIC_BAND); band++) {
        double hz = centre_hz(2 + 3 * band);

        *db += cookbook_db(SHAPE_PEAK, hz, get(desk, PARAM_MIX_GRAPHIC_BAND_GAIN, mix, band),
                           q_of(1, hz, rate), rate, at);
    }
}

void
loudness_mix_filters(const struct desk *desk, int mix, double db[LOUDNESS_FREQUENCIES])
{
    static const struct equaliser eq = {INDEX_MIX_EQ_BAND,      PARAM_MIX_EQ_ON,
                                        PARAM_MIX_EQ_BAND_ON,   PARAM_MIX_EQ_BAND_SHAPE,
                                        PARAM_MIX_EQ_BAND_FREQ, PARAM_MIX_EQ_BAND_GAIN,
                                        PARAM_MIX_EQ_BAND_Q};

    for (int i = 0; i < LOUDNESS_FREQUENCIES; i++) {
        db[i] = 0;
        add_equaliser(desk, &eq, mix, centre_hz(i), &db[i]);
        add_graphic(desk, mix, centre_hz(i), &db[i]);
        add_high_pass(desk, PARAM_MIX_HIGH_PASS_ON, PARAM_MIX_HIGH_PASS_FREQ,
                      PARAM_MIX_HIGH_PASS_SLOPE, mix, centre_hz(i), &db[i]);
    }
}
