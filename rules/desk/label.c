/* SPDX-License-Identifier: MIT */
#include "desk/label.h"

#include <ctype.h>
#include <string.h>

static bool
is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static char
lower(char c)
{
    return (char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
}

/* The next word of the text at *at, which is moved behind it; its length, 0 at the end. */
static size_t
next_word(const char **at, const char **word)
{
    const char *end;

    while (**at && !is_letter(**at))
        ++*at;
    *word = end = *at;
    while (is_letter(*end) && !(end > *word && lower(end[-1]) == end[-1] && lower(*end) != *end))
        end++;
    *at = end;
    return (size_t)(end - *word);
}

void
label_read(struct label *label, const char *text)
{
    const char *word;
    size_t length;

    label->count = 0;
    while (label->count < LABEL_WORDS && (length = next_word(&text, &word)) > 0) {
        char *to = label->words[label->count];

        if (length >= LABEL_WORD_SIZE)
            continue;
        for (size_t i = 0; i < length; i++)
            to[i] = lower(word[i]);
        to[length] = '\0';
        label->count++;
    }
}

static bool
label_has(const struct label *label, const char *word, size_t length)
{
    for (int i = 0; i < label->count; i++)
        if (strlen(label->words[i]) == length && memcmp(label->words[i], word, length) == 0)
            return true;
    return false;
}

/* The fit of one alternative of `length` bytes: 64 a word and 1 a letter. */
static int
alternative_fit(const struct label *label, const char *alternative, size_t length)
{
    const char *end = alternative + length;
    int fit = 0;

    while (alternative < end) {
        size_t word = strcspn(alternative, " |");

        if (!label_has(label, alternative, word))
            return 0;
        fit += 64 + (int)word;
        alternative += word + 1;
    }
    return fit;
}

/* The best alternative and its length. */
static int
best_alternative(const struct label *label, const char *alternatives, const char **best,
                 size_t *best_length)
{
    int best_fit = 0;

    while (*alternatives) {
        size_t length = strcspn(alternatives, "|");
        int fit = alternative_fit(label, alternatives, length);

        if (fit > best_fit) {
            best_fit = fit;
            *best = alternatives;
            *best_length = length;
        }
        alternatives += length + (alternatives[length] == '|');
    }
    return best_fit;
}

int
label_fit(const struct label *label, const char *alternatives)
{
    const char *best;
    size_t length;

    return best_alternative(label, alternatives, &best, &length);
}

static void
trim(char *text)
{
    size_t length = strlen(text);
    size_t start = strspn(text, " -_/.,:()");

    memmove(text, text + start, length - start + 1);
    length -= start;
    while (length > 0 && strchr(" -_/.,:()", text[length - 1]))
        text[--length] = '\0';
}

void
label_without(const char *text, const char *alternatives, char *rest, size_t size)
{
    struct label label, drop = {0};
    const char *best = "";
    const char *at = text;
    const char *copied = text;
    const char *word;
    size_t length = 0, used = 0;
    char alternative[64];

    label_read(&label, text);
    if (best_alternative(&label, alternatives, &best, &length) > 0 && length < sizeof alternative) {
        memcpy(alternative, best, length);
        alternative[length] = '\0';
        label_read(&drop, alternative);
    }
    while ((length = next_word(&at, &word)) > 0 || *copied) {
        struct label one;
        const char *end = length > 0 ? word : at;
        size_t piece;

        /* what stands between the words is kept as it is */
        piece = (size_t)(end - copied);
        if (length > 0) {
            char small[LABEL_WORD_SIZE] = "";

            if (length < sizeof small)
                memcpy(small, word, length);
            label_read(&one, small);
            if (one.count == 0 || !label_has(&drop, one.words[0], strlen(one.words[0])))
                piece += length;
        }
        if (piece > size - 1 - used) {
            piece = size - 1 - used;
            while (piece > 0 && ((unsigned char)copied[piece] & 0xc0) == 0x80)
                piece--; /* never part of a character */
        }
        memcpy(rest + used, copied, piece);
        used += piece;
        copied = at;
        if (length == 0)
            break;
    }
    rest[used] = '\0';
    trim(rest);
}

bool
label_equal(const char *one, const char *other)
{
    while (*one && lower(*one) == lower(*other)) {
        one++;
        other++;
    }
    return lower(*one) == lower(*other);
}
