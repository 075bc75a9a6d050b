/* SPDX-License-Identifier: MIT */
/* Memory the program needs for itself. It is there, or the program ends: there is no third way, so
 * nobody checks what these return. What an outsider could make large is bounded before it is asked
 * for; what is left is small, and a program that limps on without it would keep back a finding and
 * call that silence good.
 *
 * How it ends is the program's affair (daemon/base/no_memory.h): the rules know no output. */
#ifndef GAINWARDEN_NEED_H
#define GAINWARDEN_NEED_H

#include <stddef.h>

/* `count` things of `size` bytes each, zeroed; for free(). One, too, where there is none to hold.
 */
void *need_memory(size_t count, size_t size);

/* What was had from these, or NULL, grown to `count` things; the new ones are not zeroed. */
void *need_more(void *memory, size_t count, size_t size);

/* A copy of the text, of its first `length` bytes; for free(). NULL is a copy of NULL. */
char *need_text(const char *text);
char *need_part(const char *text, size_t length);

/* What a library made; NULL from it is no memory. */
void *need_made(void *made);

/* Ends the program. */
_Noreturn void need_fails(void);

/* How: `end` does not return. Until it is set, and should it return, abort(). */
void need_fails_by(void (*end)(void));

#endif
