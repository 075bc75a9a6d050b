/* SPDX-License-Identifier: MIT */
/* The edges of a message in words. What one cause opened on one object, or ended there, is one line:
 * the worst of it in whole, the others by name.
 */
#ifndef GAINWARDEN_EDGES_H
#define GAINWARDEN_EDGES_H

#include "core/text.h"
#include "watcher/watcher.h"

/* What began, or is about to. */
bool edge_opens(const struct edge *edge);

/* The edge whose line says this one: itself, or an earlier one of the message. */
size_t edges_leader(const struct message *message, size_t edge);

/* "raised fix [master-off-unity] mix 2 Gtr wedge (gtr): ...; do: ...; with it [own-send-off-unity]" */
void edges_write(const struct message *message, size_t edge, const struct engine *engine,
                 struct text *text);

/* "raised fix [high-pass-missing] input 18 Ld Vox: the high-pass is off; with it [left-on]" */
void edges_write_short(const struct message *message, size_t edge, const struct engine *engine,
                       struct text *text);

/* The first statement of a longer one, up to its first ": " or "; ". */
void edges_add_statement(struct text *text, const char *says);

#endif
