/* SPDX-License-Identifier: MIT */
#include "display.h"

#include <math.h>
#include <stdio.h>

static void
show_decibels(double db, bool units, char out[DISPLAY_SIZE])
{
    const char *unit = units ? " dB" : "";

    if (isinf(db))
        snprintf(out, DISPLAY_SIZE, "-inf%s", unit);
    else
        snprintf(out, DISPLAY_SIZE, "%.1f%s", db, unit);
}

static void
show_hertz(double hertz, bool units, char out[DISPLAY_SIZE])
{
    if (!units)
        snprintf(out, DISPLAY_SIZE, "%.6g", hertz);
    else if (hertz < 1000)
        snprintf(out, DISPLAY_SIZE, "%.4g Hz", hertz);
    else
        snprintf(out, DISPLAY_SIZE, "%.6g kHz", hertz / 1000);
}

static void
show_whole(const struct field *field, double number, bool units, char out[DISPLAY_SIZE])
{
    snprintf(out, DISPLAY_SIZE, "%.0f%s", number, units && field->unit == UNIT_DB ? " dB" : "");
}

static void
show_real(const struct field *field, double number, bool units, char out[DISPLAY_SIZE])
{
    switch (field->unit) {
    case UNIT_DB:
        show_decibels(number, units, out);
        break;
    case UNIT_HZ:
        show_hertz(number, units, out);
        break;
    case UNIT_NONE:
        snprintf(out, DISPLAY_SIZE, "%.2f", number);
        break;
    }
}

const char *
display_value(const struct state *state, const struct field *field, size_t object, bool units,
              char out[DISPLAY_SIZE])
{
    double number = field->form == FORM_TEXT ? 0 : state_number(state, field, object);

    switch (field->form) {
    case FORM_TEXT:
        return state_text(state, field, object);
    case FORM_SWITCH:
        return number != 0 ? "yes" : "no";
    case FORM_WORD:
        return field->words[(size_t)number];
    case FORM_WHOLE:
        show_whole(field, number, units, out);
        break;
    case FORM_REAL:
        show_real(field, number, units, out);
        break;
    }
    return out;
}
