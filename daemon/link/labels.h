/* SPDX-License-Identifier: MIT */
/* Texts whose fields have labels: "gain=12; pad=0", or JSON, where a leaf's label is its path,
 * "in/3/gain". Both come to a list of labels and arguments.
 */
#ifndef GAINWARDEN_LABELS_H
#define GAINWARDEN_LABELS_H

#include "osc/osc.h"
#include "profile/profile.h"

enum { LABELS_MOST = 600, LABELS_TEXT = 65536, LABELS_PATH = 400 };

struct labelled {
    const char *label;
    struct argument argument;
};

struct labels {
    struct labelled all[LABELS_MOST];
    size_t count, used;
    char texts[LABELS_TEXT]; /* of labels and arguments */
};

/* Takes a text apart as the element's text is written, ELEMENT's `form` being LABELS_LINE or
 * LABELS_JSON. False when it is no such text, or has more than there is room for. */
bool labels_read(struct labels *labels, const struct element *element, const char *text);

#endif
