/* SPDX-License-Identifier: MIT */
#include "link/unfold.h"

#include <string.h>

/* ---- text lines ---- */

/* A tab is a blank unless it parts the fields itself. */
static bool
is_blank(char c, char separator)
{
    return c == ' ' || (c == '\t' && separator != '\t');
}

static bool
parts(char c, char separator)
{
    return c == separator || (separator == ' ' && c == '\t');
}

/* Copies the field that begins at `line` to *texts and steps behind it; gives its rest. */
static const char *
take_field(const char *line, char separator, char **texts)
{
    char *begin = *texts, *end;

    if (*line == '"') {
        for (line++; *line && *line != '"'; line++)
            *(*texts)++ = *line;
        while (*line && !parts(*line, separator)) /* nothing belongs between quote and separator */
            line++;
    } else {
        while (*line && !parts(*line, separator))
            *(*texts)++ = *line++;
        for (end = *texts; end > begin && is_blank(end[-1], separator); end--)
            *texts = end - 1;
    }
    *(*texts)++ = '\0';
    return line;
}

static const char *
skip_blanks(const char *line, char separator)
{
    while (is_blank(*line, separator))
        line++;
    return line;
}

size_t
unfold_line(const char *line, char separator, char *texts, const char *fields[], size_t most)
{
    size_t count = 0;

    line = skip_blanks(line, separator);
    while (separator != ' ' || *line) {
        if (count == most)
            return 0;
        fields[count++] = texts;
        line = take_field(line, separator, &texts);
        if (!*line)
            break;
        line = skip_blanks(line + 1, separator);
    }
    return count;
}

/* How many elements of the pattern from `first` on are fields of one line. */
static size_t
fields_from(const struct pattern *pattern, size_t first)
{
    size_t count = 1;

    while (first + count < pattern->count && pattern->elements[first + count].goes_on)
        count++;
    return count;
}

static bool
add_argument(struct osc_message *message, struct argument argument)
{
    if (message->count == OSC_ARGUMENTS)
        return false;
    message->arguments[message->count++] = argument;
    return true;
}

/* The last argument once more, for an element that shares it. */
static bool
add_again(struct osc_message *message)
{
    return message->count > 0 && add_argument(message, message->arguments[message->count - 1]);
}

static bool
add_field(struct osc_message *message, const char *field)
{
    return add_argument(message, (struct argument){ARGUMENT_TEXT, 's', 0, field});
}

static bool
add_line(struct unfolded *unfolded, size_t *used, const struct pattern *pattern, size_t first,
         const struct argument *line)
{
    struct osc_message *message = &unfolded->message;
    const char *fields[OSC_ARGUMENTS];
    size_t length = line->kind == ARGUMENT_TEXT ? strlen(line->text) : UNFOLD_TEXT;
    size_t count, next = 0, end = first + fields_from(pattern, first);
    bool good = true;

    if (*used + length + 2 > UNFOLD_TEXT)
        return false;
    count = unfold_line(line->text, pattern->elements[first].separator, unfolded->texts + *used,
                        fields, OSC_ARGUMENTS);
    *used += length + 2;
    for (size_t i = first; i < end && good; i++)
        good = pattern->elements[i].shares ? add_again(message)
                                           : next < count && add_field(message, fields[next++]);
    while (good && pattern->elements[end - 1].each != INDEX_NONE && next < count)
        good = add_field(message, fields[next++]);
    return good && next == count;
}

/* ---- blobs ---- */

static uint32_t
word_at(const uint8_t *bytes, int size, bool little_endian)
{
    uint32_t word = 0;

    for (int i = 0; i < size; i++)
        word = word << 8 | bytes[little_endian ? size - 1 - i : i];
    return word;
}

static double
number_at(const uint8_t *bytes, enum blob_form form, bool little_endian)
{
    uint32_t word = word_at(bytes, form == BLOB_INT16 ? 2 : 4, little_endian);
    float number;

    switch (form) {
    case BLOB_INT16:
        return word < 0x8000 ? (double)word : (double)word - 0x10000;
    case BLOB_INT32:
        return word < 0x80000000 ? (double)word : (double)word - 4294967296.0;
    case BLOB_NONE:
    case BLOB_FLOAT32:
        break;
    }
    memcpy(&number, &word, sizeof number);
    return (double)number;
}

static bool
add_blob(struct osc_message *message, const struct element *element, const struct argument *blob)
{
    const uint8_t *bytes = (const uint8_t *)blob->text;
    size_t size = element->blob == BLOB_INT16 ? 2 : 4, length, count;

    if (blob->kind != ARGUMENT_BLOB || blob->number < (double)element->skip)
        return false;
    length = (size_t)blob->number - element->skip;
    count = length / size;
    if (length % size != 0 || count == 0 || count > OSC_ARGUMENTS - message->count)
        return false;
    for (size_t i = 0; i < count; i++)
        message->arguments[message->count++] = (struct argument){
            ARGUMENT_NUMBER, 'f',
            number_at(bytes + element->skip + i * size, element->blob, element->little_endian),
            NULL};
    return true;
}

/* ---- all of it ---- */

/* Whether the answer ends in a run of arguments of their own. */
static bool
ends_in_run(const struct pattern *pattern)
{
    const struct element *last = pattern->count > 0 ? &pattern->elements[pattern->count - 1] : NULL;

    return last && last->each != INDEX_NONE && !last->separator && last->blob == BLOB_NONE;
}

static bool
take_apart(const struct pattern *pattern, const struct osc_message *message,
           struct unfolded *unfolded)
{
    struct osc_message *out = &unfolded->message;
    size_t used = 0, argument = 0;

    for (size_t i = 0; i < pattern->count; i++) {
        const struct element *element = &pattern->elements[i];

        if (element->goes_on)
            continue;
        if (element->shares && !add_again(out))
            return false;
        if (element->shares)
            continue;
        if (argument == message->count || out->count == OSC_ARGUMENTS)
            return false;
        if (element->separator) {
            if (!add_line(unfolded, &used, pattern, i, &message->arguments[argument]))
                return false;
        } else if (element->blob != BLOB_NONE) {
            if (!add_blob(out, element, &message->arguments[argument]))
                return false;
        } else {
            out->arguments[out->count++] = message->arguments[argument];
        }
        argument++;
    }
    while (ends_in_run(pattern) && argument < message->count && out->count < OSC_ARGUMENTS)
        out->arguments[out->count++] = message->arguments[argument++];
    return argument == message->count;
}

const struct osc_message *
unfold(const struct entry *entry, const struct osc_message *message, struct unfolded *unfolded)
{
    if (message->untyped) {
        unfolded->typed = *message;
        message = &unfolded->typed;
        if (!entry->untyped ||
            !osc_decode_untyped(&unfolded->typed, entry->untyped, ends_in_run(&entry->answer)))
            return NULL;
    }
    if (!entry->unfolds)
        return message;
    unfolded->message.count = 0;
    return take_apart(&entry->answer, message, unfolded) ? &unfolded->message : NULL;
}
