/* SPDX-License-Identifier: MIT */
/*
 * The stage behind the desk by the clock on the wall, or as asked: it goes on with time, lets the desk's
 * meters follow and spectra be told, and writes down what stands at somebody's ears.
 */
#ifndef MOCK_ACOUSTICS_H
#define MOCK_ACOUSTICS_H

#include "desk.h"
#include "options.h"
#include "stage.h"
#include "wav.h"

struct acoustics {
    struct stage *stage; /* NULL: none */
    struct desk *desk;   /* the caller's */
    struct wav *wav;     /* NULL: nobody listens */
    int pair;            /* of ears that do */
    bool asked;          /* time goes on as asked, not by the clock */
    int64_t begun_us;    /* when its time was 0; later by what could not be caught up with */
    int64_t let_go_us;   /* that, until the last load was told */
    unsigned long frames;
    double busy_s, busy_since_s; /* CPU time spent in all, and until the last load was told */
    int64_t told_us;
    double load;                          /* of one core, since the last was told */
    double *pushed_inputs, *pushed_mixes; /* dB of meters as pushed */
};

/* Opens what the options ask for, none without --stage. False after printing why; close it all the same. */
bool acoustics_open(struct acoustics *acoustics, const struct options *options, struct desk *desk,
                    int64_t now_us);
void acoustics_close(struct acoustics *acoustics);

/* Catches up with the clock, at most 50 ms at a go. */
void acoustics_go_on(struct acoustics *acoustics, int64_t now_us);

/* Goes on by so many seconds, as fast as it can. */
void acoustics_run(struct acoustics *acoustics, double seconds, int64_t now_us);

/* When there is something to catch up with; INT64_MAX: never. */
int64_t acoustics_next_us(const struct acoustics *acoustics);

#endif
