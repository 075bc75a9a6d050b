/* SPDX-License-Identifier: MIT */
/* The stage from above, to scale, upstage on top: each microphone with the horizontal cut of its
 * pattern, each loudspeaker with that of its beam, and the paths that lead as lines with their dB. It
 * is drawn from the plan and the report's own figures, and the table of page/stage.c says the same.
 */
#ifndef GAINWARDEN_DRAW_STAGE_H
#define GAINWARDEN_DRAW_STAGE_H

#include <stdio.h>

#include "report/stage.h"

/* Lines that are drawn. */
enum { DRAW_STAGE_PATHS = 5 };

/* Whether the plan has a microphone and a loudspeaker with places: else there is nothing to draw. */
bool draw_stage_can(const struct stage *stage);

/* At which beams are drawn: where the stage rings first. */
double draw_stage_hz(const struct stage_report *report);

void draw_stage(FILE *page, const struct stage_report *report);

#endif
