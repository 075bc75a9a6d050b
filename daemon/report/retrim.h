/* SPDX-License-Identifier: MIT */
/* The page of `gainwarden retrim`: the cards alone, for a person to follow. */
#ifndef GAINWARDEN_RETRIM_H
#define GAINWARDEN_RETRIM_H

#include <stdio.h>

#include "advice/plan.h"
#include "link/link.h"
#include "show/session.h"

struct retrim {
    const struct session *session; /* the desk was read */
    const struct link_figures *figures;
    struct plan *plan;
};

/* The exit status that the cards ask for. */
int retrim_status(const struct retrim *retrim);

void retrim_text(const struct retrim *retrim);
void retrim_json(const struct retrim *retrim);

/* The same to look at, and to tick off: one self-contained HTML file. */
void retrim_html(const struct retrim *retrim, FILE *page);

#endif
