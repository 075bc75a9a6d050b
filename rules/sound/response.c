/* SPDX-License-Identifier: MIT */
#include "sound/response.h"

#include <math.h>
#include <string.h>

static const enum param_id reads[] = {PATH_MIX_FILTER_READS, PARAM_MIX_NAME, PARAMS};

/* Keeps the list in order; the same frequency stands there once. */
static void
add_hz(struct response *response, double hz)
{
    int at = response->count;

    if (!(hz >= 20 && hz <= 20000))
        return;
    while (at > 0 && response->hz[at - 1] > hz)
        at--;
    if (at > 0 && response->hz[at - 1] == hz)
        return;
    memmove(response->hz + at + 1, response->hz + at,
            (size_t)(response->count - at) * sizeof *response->hz);
    response->hz[at] = hz;
    response->count++;
}

void
response_of(const struct desk *desk, const struct show *show, int mix, double cut_db,
            struct response *response)
{
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = look_reader(desk, show, reads, &verdict);
    struct filters filters;

    response->count = 0;
    response->known = path_mix_filters(&look, mix, &filters);
    response->has_cuts = cuts_of(&look, mix, cut_db, &response->cuts);
    if (!response->known)
        return;
    for (int i = 0; i < RESPONSE_GRID; i++)
        add_hz(response, 20 * pow(1000, i / (RESPONSE_GRID - 1.0)));
    for (int i = 0; i < filters.count; i++)
        add_hz(response, filters.controls[i].freq_hz);
    for (int i = 0; i < response->count; i++)
        response->db[i] = filters_db(&filters, response->hz[i]);
}
