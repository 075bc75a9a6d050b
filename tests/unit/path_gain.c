/* SPDX-License-Identifier: MIT */
#include "path_gain.h"

#include <math.h>

#include "sound/path.h"

bool
path_gain_db(struct look *look, int input, int mix, double freq_hz, double *gain_db)
{
    struct path_level level;
    struct filters of_mix, of_input;
    bool known = path_level(look, input, mix, &level);

    *gain_db = level.sum_db;
    if (known && level.sum_db == -HUGE_VAL)
        return true;
    known &= path_mix_filters(look, mix, &of_mix);
    known &= !level.filtered || path_input_filters(look, input, &of_input);
    if (!known)
        return false;
    *gain_db += filters_db(&of_mix, freq_hz);
    if (level.filtered)
        *gain_db += filters_db(&of_input, freq_hz);
    return true;
}
