/* SPDX-License-Identifier: MIT */
/* What is left of the margin that ring-outs proved, in short, as a block of the audit's text. */
#ifndef GAINWARDEN_REPORT_PROVED_H
#define GAINWARDEN_REPORT_PROVED_H

#include "engine/engine.h"

/* Nothing where nothing is kept. */
void proved_text(struct engine *engine);

#endif
