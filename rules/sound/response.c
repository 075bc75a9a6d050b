#include "sound/response.h"

#include <math.h>
#include <string.h>

#include "check/check.h"

static const enum param_id reads[] = {PATH_MIX_FILTER_READS, PARAM_MIX_NAME, PARAMS};

static const struct check reader = {.reads = reads};

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

/* The depth from which too-many-cuts counts a band, as the show file sets it. */
static double
cut_db_of(const struct show *show)
{
    int check = check_find("too-many-cuts");

    for (int i = 0; i < CHECK_SETTINGS && checks[check]->settings[i].name; i++)
        if (strcmp(checks[check]->settings[i].name, "cut_db") == 0)
            return show->checks[check].settings[i];
    return 1;
}

void
response_of(const struct desk *desk, const struct show *show, int mix, struct response *response)
{
    struct verdict verdict = {.outcome = OUTCOME_NOT_ASKED};
    struct look look = look_reader(desk, show, &reader, &verdict);
    struct filters filters;

    response->count = 0;
    response->known = path_mix_filters(&look, mix, &filters);
    response->has_cuts = cuts_of(&look, mix, cut_db_of(show), &response->cuts);
    if (!response->known)
        return;
    for (int i = 0; i < RESPONSE_GRID; i++)
        add_hz(response, 20 * pow(1000, i / (RESPONSE_GRID - 1.0)));
    for (int i = 0; i < filters.count; i++)
        add_hz(response, filters.controls[i].freq_hz);
    for (int i = 0; i < response->count; i++)
        response->db[i] = filters_db(&filters, response->hz[i]);
}
