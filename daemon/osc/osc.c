/* SPDX-License-Identifier: MIT */
#include "osc/osc.h"

#include <lo/lo.h>
#include <string.h>

#include "core/need.h"
#include "osc/check.h"

enum { OSC_COLOUR = 'r' }; /* which the library does not know */

/* Bytes of a string with its padding. */
static size_t
padded(const char *string)
{
    return (strlen(string) / 4 + 1) * 4;
}

/* A character as a text that lasts: every one of ASCII. */
#define FOUR(n)                                                                                    \
    {n}, {n + 1}, {n + 2},                                                                         \
    {                                                                                              \
        n + 3                                                                                      \
    }
#define SIXTEEN(n) FOUR(n), FOUR(n + 4), FOUR(n + 8), FOUR(n + 12)
static const char letters[128][2] = {SIXTEEN(0),  SIXTEEN(16), SIXTEEN(32), SIXTEEN(48),
                                     SIXTEEN(64), SIXTEEN(80), SIXTEEN(96), SIXTEEN(112)};

/* An argument of 32 bits that is neither int nor float: a character is a text of one letter, a
 * colour and a MIDI message the number that their bits are. */
static void
decode_word(struct argument *argument, uint32_t word)
{
    if (argument->type != LO_CHAR) {
        argument->number = word;
    } else if (word < sizeof letters / sizeof *letters) {
        argument->kind = ARGUMENT_TEXT;
        argument->text = letters[word];
    } else {
        argument->kind = ARGUMENT_OTHER;
    }
}

/* One argument at `bytes`. The library turns it to this machine's byte order in a copy, since the
 * datagram is aligned to 4 bytes only, and others may still look at it. */
static struct argument
decode_argument(char type, const uint8_t *bytes)
{
    struct argument argument = {.kind = ARGUMENT_NUMBER, .type = type};
    lo_arg value;

    switch (type) {
    case LO_INT32:
    case LO_FLOAT:
        memcpy(&value, bytes, 4);
        lo_arg_host_endian((lo_type)type, &value);
        argument.number = type == LO_INT32 ? value.i : (double)value.f;
        break;
    case LO_INT64:
    case LO_DOUBLE:
        memcpy(&value, bytes, 8);
        lo_arg_host_endian((lo_type)type, &value);
        argument.number = type == LO_DOUBLE ? value.d : (double)value.h;
        break;
    case LO_CHAR:
    case LO_MIDI:
    case OSC_COLOUR:
        decode_word(&argument, osc_word(bytes));
        break;
    case LO_TRUE:
    case LO_FALSE:
        argument.kind = ARGUMENT_SWITCH;
        argument.number = type == LO_TRUE;
        break;
    case LO_STRING:
    case LO_SYMBOL:
        argument.kind = ARGUMENT_TEXT;
        argument.text = (const char *)bytes;
        break;
    case LO_BLOB: /* the library's own measure reads the length in host order */
        memcpy(&value, bytes, 4);
        lo_arg_host_endian(LO_INT32, &value);
        argument.kind = ARGUMENT_BLOB;
        argument.number = value.i;
        argument.text = (const char *)bytes + 4;
        break;
    default:
        argument.kind = ARGUMENT_OTHER;
    }
    return argument;
}

/* Bytes an argument takes. The check has seen that they are there. */
static size_t
argument_size(const struct argument *argument, const uint8_t *bytes)
{
    if (argument->kind == ARGUMENT_BLOB)
        return 4 + ((size_t)argument->number + 3) / 4 * 4;
    if (argument->type == LO_CHAR || argument->type == OSC_COLOUR)
        return 4;
    if (argument->kind == ARGUMENT_TEXT)
        return padded(argument->text);
    return lo_arg_size((lo_type)argument->type, (void *)(uintptr_t)bytes);
}

static bool
decode_arguments(struct osc_message *message, const char *types)
{
    const uint8_t *at = message->data;

    message->count = 0;
    for (; *types; types++) {
        struct argument *argument = &message->arguments[message->count];

        if (*types == '[' || *types == ']') /* arrays are flat */
            continue;
        if (message->count++ == OSC_ARGUMENTS)
            return false;
        *argument = decode_argument(*types, at);
        at += argument_size(argument, at);
    }
    return true;
}

/* Walks a checked message in place: no memory is asked for, so a flood of messages costs none. */
bool
osc_decode(struct osc_message *message, const uint8_t *bytes, size_t length)
{
    const char *types;

    message->address = (const char *)bytes;
    message->address_size = padded(message->address);
    message->data = bytes + message->address_size;
    message->data_size = length - message->address_size;
    message->count = 0;
    message->types = "";
    types = (const char *)message->data;
    message->untyped = message->data_size == 0 || *types != ',';
    if (message->untyped)
        return true;
    message->types = types + 1;
    message->data += padded(types);
    message->data_size -= padded(types);
    return decode_arguments(message, message->types);
}

/* More letters are needed as long as bytes are left over, fewer when they do not suffice: halving
 * finds the number without reading a long run once for each of its arguments. */
bool
osc_decode_untyped(struct osc_message *message, const char *types, bool run)
{
    char all[OSC_ARGUMENTS + 1];
    size_t least = strlen(types), most = run ? OSC_ARGUMENTS : least;
    enum osc_reject reject;

    memcpy(all, types, least);
    memset(all + least, run ? types[least - 1] : '\0', most - least);
    for (;;) {
        size_t count = least + (most - least) / 2;
        char cut = all[count];

        all[count] = '\0';
        reject = osc_check_arguments(all, message->data, message->data_size);
        if (reject == OSC_OK)
            return decode_arguments(message, all);
        all[count] = cut;
        if (reject == OSC_LONG && count < most)
            least = count + 1;
        else if (reject != OSC_LONG && count > least)
            most = count - 1;
        else
            return false;
    }
}

static int
add_argument(lo_message message, const struct argument *argument)
{
    switch (argument->type) {
    case 'i':
        return lo_message_add_int32(message, (int32_t)argument->number);
    case 'f':
        return lo_message_add_float(message, (float)argument->number);
    case 's':
        return lo_message_add_string(message, argument->text);
    case 'T':
        return lo_message_add_true(message);
    default:
        return lo_message_add_false(message);
    }
}

/* Takes the type-tag string out of an encoded message. */
static void
drop_types(uint8_t *bytes, size_t *length)
{
    size_t at = padded((const char *)bytes);
    size_t types = padded((const char *)bytes + at);

    memmove(bytes + at, bytes + at + types, *length - at - types);
    *length -= types;
}

uint8_t *
osc_encode(const char *address, const struct argument *arguments, size_t count, bool typed,
           size_t *length)
{
    lo_message message = need_made(lo_message_new());
    uint8_t *bytes;

    for (size_t i = 0; i < count; i++)
        if (add_argument(message, &arguments[i]) != 0)
            need_fails();
    bytes = need_made(lo_message_serialise(message, address, NULL, length));
    if (!typed)
        drop_types(bytes, length);
    lo_message_free(message);
    return bytes;
}
