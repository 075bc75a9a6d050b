/* SPDX-License-Identifier: MIT */
#include "link/unfold.h"

#include <stdio.h>
#include <string.h>

#include "profile/wording.h"

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

/* ---- labels ---- */

static const struct argument missing = {ARGUMENT_OTHER, '\0', 0, NULL};

bool
unfold_is_missing(const struct argument *argument)
{
    return argument->type == '\0';
}

void
unfold_begin(struct unfolded *unfolded)
{
    unfolded->labels_of = NULL;
}

/* Many entries may look at one text: it is taken apart once. */
static bool
read_labels(struct unfolded *unfolded, const struct element *as, const char *text)
{
    const struct element *before = unfolded->labels_as;

    if (unfolded->labels_of == text && before->form == as->form &&
        before->separator == as->separator && before->label_end == as->label_end)
        return unfolded->has_labels;
    unfolded->labels_of = text;
    unfolded->labels_as = as;
    unfolded->has_labels = labels_read(&unfolded->labels, as, text);
    return unfolded->has_labels;
}

/* NULL when it is not there. */
static const struct labelled *
find_label(const struct labels *labels, const char *label)
{
    for (size_t i = 0; i < labels->count; i++)
        if (strcmp(labels->all[i].label, label) == 0)
            return &labels->all[i];
    return NULL;
}

/* A run along an index: the elements of an array, which stand one behind the other. */
static bool
add_array(struct unfolded *unfolded, const char *label)
{
    const struct labels *labels = &unfolded->labels;
    char path[LABELS_PATH];
    const struct labelled *one;

    snprintf(path, sizeof path, "%s/0", label);
    one = find_label(labels, path);
    if (!one)
        return add_argument(&unfolded->message, missing);
    for (int i = 1; one < labels->all + labels->count && strcmp(one->label, path) == 0; i++) {
        if (!add_argument(&unfolded->message, one++->argument))
            return false;
        snprintf(path, sizeof path, "%s/%d", label, i);
    }
    return true;
}

/* What the text holds for the element; nothing yet where it roves. */
static bool
add_labelled(struct unfolded *unfolded, const struct element *element)
{
    const struct labelled *one;

    if (element->each != INDEX_NONE)
        return add_array(unfolded, element->label[0].text);
    one = element->roves ? NULL : find_label(&unfolded->labels, element->label[0].text);
    return add_argument(&unfolded->message, one ? one->argument : missing);
}

/* An argument for each element; false where the text holds none of their values. */
static bool
add_labels(struct unfolded *unfolded, const struct pattern *pattern, size_t first,
           const struct argument *text)
{
    size_t end = first + fields_from(pattern, first);
    bool found = false, good = true;

    if (text->kind != ARGUMENT_TEXT ||
        !read_labels(unfolded, &pattern->elements[first], text->text))
        return false;
    for (size_t i = first; i < end && good; i++) {
        const struct element *element = &pattern->elements[i];
        size_t at = unfolded->message.count;

        good = add_labelled(unfolded, element);
        found |= element->roves || (good && element->kind == ELEMENT_VALUE &&
                                    !unfold_is_missing(&unfolded->message.arguments[at]));
    }
    unfolded->roved = 0;
    return good && found;
}

/* The place among labels and elements: all elements of one label, then of the next. */
bool
unfold_rove(const struct entry *entry, const struct desk_counts *counts, struct unfolded *unfolded,
            int indexes[ENTRY_VARIABLES])
{
    const struct pattern *answer = &entry->answer;
    struct argument *arguments = unfolded->message.arguments;

    if (unfolded->roved > 0)
        arguments[(unfolded->roved - 1) % answer->count] = missing;
    while (unfolded->roved < unfolded->labels.count * answer->count) {
        const struct labelled *one = &unfolded->labels.all[unfolded->roved / answer->count];
        size_t at = unfolded->roved++ % answer->count;
        const struct element *element = &answer->elements[at];

        if (element->roves && wording_match(element->label, element->label_pieces, entry, counts,
                                            one->label, indexes)) {
            arguments[at] = one->argument;
            return true;
        }
    }
    return false;
}

/* ---- blobs ---- */

/* Of 4 bytes. */
static double
number_at(const uint8_t *bytes, enum blob_form form, bool little_endian)
{
    uint32_t word = 0;
    float number;

    for (int i = 0; i < 4; i++)
        word = word << 8 | bytes[little_endian ? 3 - i : i];
    if (form == BLOB_INT32)
        return word < 0x80000000 ? (double)word : (double)word - 4294967296.0;
    memcpy(&number, &word, sizeof number);
    return (double)number;
}

/* The high byte has the sign. */
static void
int16_numbers(const uint8_t *bytes, bool little_endian, double *numbers, size_t count)
{
    size_t high = little_endian ? 1 : 0, low = 1 - high;

    for (size_t i = 0; i < count; i++)
        numbers[i] = (int8_t)bytes[2 * i + high] * 256 + bytes[2 * i + low];
}

size_t
unfold_blob(const struct element *element, const struct argument *blob, double *numbers,
            size_t most)
{
    const uint8_t *bytes;
    size_t size = element->blob == BLOB_INT16 ? 2 : 4, length, count;

    if (blob->kind != ARGUMENT_BLOB || blob->number < (double)element->skip)
        return 0;
    length = (size_t)blob->number - element->skip;
    count = length / size;
    if (length % size != 0 || count > most)
        return 0;
    bytes = (const uint8_t *)blob->text + element->skip;
    if (element->blob == BLOB_INT16)
        int16_numbers(bytes, element->little_endian, numbers, count);
    for (size_t i = 0; element->blob != BLOB_INT16 && i < count; i++)
        numbers[i] = number_at(bytes + i * size, element->blob, element->little_endian);
    return count;
}

static bool
add_blob(struct osc_message *message, const struct element *element, const struct argument *blob)
{
    double numbers[OSC_ARGUMENTS];
    size_t count = unfold_blob(element, blob, numbers, OSC_ARGUMENTS - message->count);

    for (size_t i = 0; i < count; i++)
        message->arguments[message->count++] =
            (struct argument){ARGUMENT_NUMBER, 'f', numbers[i], NULL};
    return count > 0;
}

/* ---- all of it ---- */

/* Whether the answer ends in a run of arguments of their own. */
static bool
ends_in_run(const struct pattern *pattern)
{
    const struct element *last = pattern->count > 0 ? &pattern->elements[pattern->count - 1] : NULL;

    return last && last->each != INDEX_NONE && !last->separator && last->blob == BLOB_NONE &&
           last->form == LABELS_NONE;
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
        if (element->form != LABELS_NONE) {
            if (!add_labels(unfolded, pattern, i, &message->arguments[argument]))
                return false;
        } else if (element->separator) {
            if (!add_line(unfolded, &used, pattern, i, &message->arguments[argument]))
                return false;
        } else if (element->blob != BLOB_NONE && !param_is_of_spectrum(element->param)) {
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
