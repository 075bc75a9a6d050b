/* SPDX-License-Identifier: MIT */
/*
 * How fast a stage's fastest mode grows, and by how much everything may rise until one does: found
 * in time, by running a twin of the loop that has neither noise nor clipper. It is set going by a
 * burst and then left alone; what remains after a while is the mode that grows fastest, or dies
 * last.
 */
#ifndef MOCK_ONSET_H
#define MOCK_ONSET_H

#include "loop.h"

/*
 * dB per second with everything raised by so much; -HUGE_VAL: no loop is open. *hz: the mode. NAN
 * when memory is out.
 */
double onset_growth(const struct loop *stands, double raise_db, double seconds, double *hz);

/*
 * dB by which everything may rise before growth is 0, within 0.01 dB; HUGE_VAL: no loop is open.
 * NAN when memory is out.
 */
double onset_find(const struct loop *stands, double *hz);

#endif
