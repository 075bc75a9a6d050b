/* SPDX-License-Identifier: MIT */
/* Which check has to look at which object again. A slot is one check on one object; a changed value
 * marks the slots that read it, each once, so that a change costs the checks that read it and never
 * the size of the desk.
 */
#ifndef GAINWARDEN_RULES_MARKS_H
#define GAINWARDEN_RULES_MARKS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "check/check.h"
#include "core/verdict.h"
#include "desk/desk.h"

struct marks;

/* Of this desk and these checks, which outlive it; nothing is marked. */
struct marks *marks_new(const struct desk *desk, const struct check_set *set);
void marks_free(struct marks *marks);

/* Whether there are proofs, so that what rests on them is marked when something moves; at first there
 * are none. Marks all. */
void marks_set_proofs(struct marks *marks, bool kept);

/* The same for what rests on spectra. */
void marks_set_spectra(struct marks *marks, bool heard);

/* Marks one slot, where there is such a one. */
void marks_one(struct marks *marks, int check, struct object object);

/* How many slots there are, and how many are marked. */
size_t marks_slots(const struct marks *marks);
size_t marks_count(const struct marks *marks);

void marks_all(struct marks *marks);

/* Marks the slots that a change of the value can touch. */
void marks_readers(struct marks *marks, enum param_id id, int row, int column);

/* The mixes for which the verdict of an input's slot rests on what other inputs send into them, as
 * verdict.h gives them: a change of such an input touches it. */
void marks_rest_on_others(struct marks *marks, int check, size_t slot, uint64_t mixes);

/* Unmarks all; the slots that were marked stay valid until the next mark. */
const size_t *marks_take(struct marks *marks, size_t *count);

/* The same with those alone that are wanted; the others stay marked. */
typedef bool marks_want_fn(void *context, size_t slot);
const size_t *marks_take_some(struct marks *marks, marks_want_fn *want, void *context,
                              size_t *count);

/* Those that are marked, in no order. */
const size_t *marks_list(const struct marks *marks, size_t *count);

/* What a slot is about; *check is the number of its check. */
struct object marks_object(const struct marks *marks, size_t slot, int *check);

/* The slot of the check on the object; marks_slots() when it has none. */
size_t marks_find(const struct marks *marks, int check, struct object object);

/* First slot of a check, and the first behind its last. */
void marks_span(const struct marks *marks, int check, size_t *from, size_t *to);

#endif
