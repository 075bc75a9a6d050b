/* SPDX-License-Identifier: MIT */
/* The list of moves that leaves every path gain as it is and gives the unused preamp gain back: the
 * facts, from which text and JSON are written.
 */
#ifndef GAINWARDEN_RETRIM_SHEET_H
#define GAINWARDEN_RETRIM_SHEET_H

#include "link/link.h"
#include "show/session.h"
#include "sound/retrim.h"

struct retrim_sheet {
    const struct session *session; /* of the caller, like the figures; the desk was read */
    const struct link_figures *figures;
    struct retrim *retrim; /* owned */
};

/* Works the moves out; session and figures are set. */
void retrim_sheet_gather(struct retrim_sheet *sheet);
void retrim_sheet_release(struct retrim_sheet *sheet);

/* The exit status that the moves ask for. */
int retrim_sheet_status(const struct retrim_sheet *sheet);

void retrim_sheet_text(const struct retrim_sheet *sheet);
void retrim_sheet_json(const struct retrim_sheet *sheet);

/* What the move is of. */
struct object retrim_sheet_object(const struct retrim_move *move);

/* An input before and after the moves: its preamp, and its loudest send. */
struct retrim_input {
    double preamp_db[2], send_db[2];
};

/* One for each input, for free(). */
struct retrim_input *retrim_sheet_inputs(const struct retrim_sheet *sheet);

#endif
