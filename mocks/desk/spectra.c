/* SPDX-License-Identifier: MIT */
#include "spectra.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_BANDS = 100 };

static const double PER_DB = 250;

static const struct {
    const char *before, *after; /* the number */
    int kind, bands;
} rows[SPECTRA_ROWS] = {
    {"/in", "/spectrum", STAGE_INPUT, 31},
    {"/in", "/fine-spectrum", STAGE_INPUT, 100},
    {"/mix", "/spectrum", STAGE_MIX, 31},
    {"/mix", "/fine-spectrum", STAGE_MIX, 100},
};

/* Steps over a text at the start of another; NULL when it does not begin so. */
static const char *
skip(const char *address, const char *text)
{
    size_t length = strlen(text);

    return address && strncmp(address, text, length) == 0 ? address + length : NULL;
}

/* Steps over "/N"; a number has no zeros before it. */
static const char *
skip_number(const char *address, int *number)
{
    char *end;

    if (!address || address[0] != '/' || address[1] < '1' || address[1] > '9')
        return NULL;
    *number = (int)strtol(address + 1, &end, 10);
    return end;
}

static bool
asks_for(const struct dialect *dialect, const char *address, const struct message *message,
         struct spectra_of *of)
{
    unsigned indices = dialect->indices_apart ? 1 : 0;
    const char *rest = skip(skip(address, dialect->ask), rows[of->row].before);

    if (!dialect->indices_apart)
        rest = skip_number(rest, &of->number);
    rest = skip(rest, rows[of->row].after);
    if (!rest || *rest != '\0' || message->count != indices)
        return false;
    if (dialect->indices_apart)
        of->number = message->arguments[0].number >= 0 && message->arguments[0].number < 1000
                         ? (int)message->arguments[0].number + 1
                         : 0;
    return true;
}

bool
spectra_asked(const struct dialect *dialect, const char *address, const struct message *message,
              struct spectra_of *of)
{
    for (of->row = 0; dialect->ask && of->row < SPECTRA_ROWS; of->row++)
        if (asks_for(dialect, address, message, of))
            return true;
    return false;
}

bool
spectra_write(const struct dialect *dialect, const struct stage *stage, const struct spectra_of *of,
              char address[ADDRESS_SIZE], struct draft *draft)
{
    int bands = rows[of->row].bands;
    double levels[MOST_BANDS];
    uint8_t bytes[2 * MOST_BANDS];
    char number[16] = "";

    if (!stage_spectrum(stage, rows[of->row].kind, of->number, bands, levels))
        return false;
    if (!dialect->indices_apart)
        snprintf(number, sizeof number, "/%d", of->number);
    snprintf(address, ADDRESS_SIZE, "%s%s%s%s", dialect->answer, rows[of->row].before, number,
             rows[of->row].after);
    for (int i = 0; i < bands; i++) {
        uint16_t bits = (uint16_t)(int16_t)lround(levels[i] * PER_DB);

        bytes[2 * i] = (uint8_t)(bits >> 8);
        bytes[2 * i + 1] = (uint8_t)bits;
    }
    draft_begin(draft, address);
    if (dialect->indices_apart)
        draft_int(draft, of->number - 1);
    draft_blob(draft, bytes, 2 * (size_t)bands);
    return true;
}
