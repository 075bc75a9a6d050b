/* SPDX-License-Identifier: MIT */
/* What others need of the check open-microphones. */
#ifndef GAINWARDEN_RULES_OPEN_MICROPHONES_H
#define GAINWARDEN_RULES_OPEN_MICROPHONES_H

#include <stdbool.h>

#include "desk/desk.h"
#include "desk/show.h"

struct open_microphones {
    int count;
    double sum_db; /* the powers of their sends together, above the loudest alone; of none 0 */
};

/* Those of a mix, as the check counts them. False when a part is not known. */
bool open_microphones_of(const struct desk *desk, const struct show *show, int mix,
                         struct open_microphones *open);

#endif
