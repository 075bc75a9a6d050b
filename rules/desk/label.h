/* SPDX-License-Identifier: MIT */
/* Reading what people write on channel strips. */
#ifndef GAINWARDEN_RULES_LABEL_H
#define GAINWARDEN_RULES_LABEL_H

#include <stdbool.h>
#include <stddef.h>

enum { LABEL_WORDS = 12, LABEL_WORD_SIZE = 20 };

/* A label as lower-case words: split at anything but ASCII letters, at digits, and where a
 * lower-case letter meets an upper-case one ("LdVox 2" gives "ld", "vox"). Words past the limits
 * are dropped. */
struct label {
    char words[LABEL_WORDS][LABEL_WORD_SIZE];
    int count;
};

void label_read(struct label *label, const char *text);

/* How well the label fits one of the alternatives ("ld vox|lead vocal"): 0 when none has all its
 * words in the label, else more for more words and then for more letters. */
int label_fit(const struct label *label, const char *alternatives);

/* What remains of the text when the words of the best alternative are taken out, trimmed; at most
 * size - 1 bytes. "Ld Vox wedge" without "wedge" is "Ld Vox". */
void label_without(const char *text, const char *alternatives, char *rest, size_t size);

/* ASCII letters without case; bytes above 127 as they are. */
bool label_equal(const char *one, const char *other);

#endif
