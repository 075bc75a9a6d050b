/* SPDX-License-Identifier: MIT */
/* What a desk packs into one argument, taken apart: text lines into fields, in order or by labels,
 * blobs into numbers, and arguments that have no type tags. What comes out has one argument for each element of the answer,
 * so that routing knows nothing of texts and blobs.
 */
#ifndef GAINWARDEN_UNFOLD_H
#define GAINWARDEN_UNFOLD_H

#include "link/labels.h"
#include "osc/osc.h"
#include "profile/profile.h"

enum { UNFOLD_TEXT = 65536 }; /* a line is at most as long as a datagram */

struct unfolded {
    struct osc_message typed;   /* an untyped message with its arguments read */
    struct osc_message message; /* lines and blobs taken apart */
    char texts[UNFOLD_TEXT];    /* of the fields */
    struct labels labels;       /* of a text with labels, */
    const char *labels_of;      /* which is this one; NULL: none was read */
    const struct element *labels_as;
    bool has_labels; /* it was good */
    size_t roved;    /* how far unfold_rove() has come */
};

/* The message as the entry's answer reads it: `message` itself where it needs nothing, else one of
 * `unfolded`'s, whose texts partly stay those of `message`. NULL when it is no such answer. */
const struct osc_message *unfold(const struct entry *entry, const struct osc_message *message,
                                 struct unfolded *unfolded);

/* Before the first of these for a message. */
void unfold_begin(struct unfolded *unfolded);

/* Of an entry whose values rove: puts the next one into the message that unfold() gave, and the
 * indexes of its label, which must agree with those that are known. False behind the last one. */
bool unfold_rove(const struct entry *entry, const struct desk_counts *counts,
                 struct unfolded *unfolded, int indexes[ENTRY_VARIABLES]);

/* The numbers of a blob, at most so many; 0: it is none, or not of whole numbers. A spectrum's blob stays
 * one argument: it comes twenty times a second, and goes nowhere else. */
size_t unfold_blob(const struct element *element, const struct argument *blob, double *numbers,
                   size_t most);

/* An argument that a text with labels does not hold. */
bool unfold_is_missing(const struct argument *argument);

/* Parts a line: writes the fields to `texts` (at least strlen(line) + 1 bytes) and gives their
 * number, at most `most`; 0 when there are more. Any run of blanks is one separator where that is a
 * blank; else blanks around a field are dropped. A field in double quotes may hold the separator.
 */
size_t unfold_line(const char *line, char separator, char *texts, const char *fields[],
                   size_t most);

#endif
