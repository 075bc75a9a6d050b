/* SPDX-License-Identifier: MIT */
#include "advice/loud.h"

#include <math.h>

#include "look/look.h"
#include "sound/band.h"
#include "sound/path.h"

static const enum param_id reads[] = {PATH_LEVEL_READS, PATH_INPUT_FILTER_READS,
                                      PATH_MIX_FILTER_READS, PARAMS};

enum { PLACES = 4, POINTS = BANDS * PLACES }; /* looked at in each third-octave band */

/* Response of the filters of one object. */
struct curve {
    bool known;
    double db[POINTS];
};

static bool
filters_of(const struct desk *desk, const struct show *show, struct object object,
           struct filters *filters)
{
    struct verdict verdict;
    struct look look = look_reader(desk, show, reads, &verdict);

    return object.input >= 0 ? path_input_filters(&look, object.input, filters)
                             : path_mix_filters(&look, object.mix, filters);
}

static void
curve_of(const struct desk *desk, const struct show *show, struct object object,
         struct curve *curve)
{
    struct filters filters;

    curve->known = filters_of(desk, show, object, &filters);
    for (int i = 0; curve->known && i < POINTS; i++) {
        double hz = band_exact_hz(0) * pow(10, (double)i / (10 * PLACES));

        curve->db[i] = hz < filters.rate_hz / 2 ? fmax(-300, filters_db(&filters, hz)) : -300;
    }
}

/* Most cards move levels alone. */
static bool
are_same(const struct desk *before, const struct desk *after, const struct show *show,
         struct object object)
{
    struct filters was, is;

    return filters_of(before, show, object, &was) && filters_of(after, show, object, &is) &&
           filters_same(&was, &is);
}

/* The most that the filters let through more; 0 when either are not known. */
static double
filters_up_db(const struct desk *before, const struct desk *after, const struct show *show,
              struct object object)
{
    struct curve was, is;
    double most_db = -HUGE_VAL;

    if (are_same(before, after, show, object))
        return 0;
    curve_of(before, show, object, &was);
    curve_of(after, show, object, &is);
    if (!was.known || !is.known)
        return 0;
    for (int i = 0; i < POINTS; i++)
        most_db = fmax(most_db, is.db[i] - was.db[i]);
    return most_db;
}

static bool
lies_in(struct object object, int input, int mix)
{
    return (object.input < 0 || object.input == input) && (object.mix < 0 || object.mix == mix);
}

/* By how many dB the path that rises most does, where the filters of the object let through so much
 * more. */
static double
rise_db_of(const struct desk *before, const struct desk *after, struct object object, double up_db)
{
    double rise_db = 0;

    for (int input = 0; input < desk_count(before, INDEX_INPUT); input++)
        for (int mix = 0; mix < desk_count(before, INDEX_MIX); mix++) {
            struct path_level then, now;

            if (!lies_in(object, input, mix) || !path_level_on(before, input, mix, &then) ||
                !path_level_on(after, input, mix, &now) || now.sum_db == -HUGE_VAL)
                continue;
            rise_db = fmax(rise_db, now.sum_db - then.sum_db +
                                        (now.filtered || object.mix >= 0 ? up_db : 0));
        }
    return rise_db;
}

double
loud_rise_db(const struct desk *before, const struct desk *after, const struct show *show,
             struct object object)
{
    if (object.input < 0 && object.mix < 0)
        return loud_gain_rise_db(before, after, object);
    return rise_db_of(before, after, object, filters_up_db(before, after, show, object));
}

double
loud_gain_rise_db(const struct desk *before, const struct desk *after, struct object object)
{
    return rise_db_of(before, after, object, 0);
}

double
loud_overshoot_db(const struct desk *before, const struct desk *between, const struct desk *after,
                  const struct show *show, struct object object)
{
    struct curve first, middle, last;
    double most_db = 0;

    curve_of(before, show, object, &first);
    curve_of(between, show, object, &middle);
    curve_of(after, show, object, &last);
    if (!first.known || !middle.known || !last.known)
        return HUGE_VAL;
    for (int i = 0; i < POINTS; i++)
        most_db = fmax(most_db, middle.db[i] - fmax(first.db[i], last.db[i]));
    return most_db;
}
