#include "osc.h"

#include <lo/lo.h>
#include <stdlib.h>
#include <string.h>

/* The library's values are aligned to 4 bytes only, so they are copied rather than looked at in
 * place.
 */
static struct argument
argument_of(char type, const void *value)
{
    struct argument argument = {.kind = ARGUMENT_NUMBER, .type = type};
    int32_t whole;
    int64_t long_whole;
    float single;

    switch (type) {
    case LO_INT32:
        memcpy(&whole, value, sizeof whole);
        argument.number = whole;
        break;
    case LO_INT64:
        memcpy(&long_whole, value, sizeof long_whole);
        argument.number = (double)long_whole;
        break;
    case LO_FLOAT:
        memcpy(&single, value, sizeof single);
        argument.number = (double)single;
        break;
    case LO_DOUBLE:
        memcpy(&argument.number, value, sizeof argument.number);
        break;
    case LO_TRUE:
    case LO_FALSE:
        argument.kind = ARGUMENT_SWITCH;
        argument.number = type == LO_TRUE;
        break;
    case LO_STRING:
    case LO_SYMBOL:
        argument.kind = ARGUMENT_TEXT;
        argument.text = value;
        break;
    default:
        argument.kind = ARGUMENT_OTHER;
    }
    return argument;
}

bool
osc_decode(struct osc_message *message, const uint8_t *bytes, size_t length)
{
    int result = 0;
    const char *types;
    lo_arg **values;
    lo_message decoded;

    /* the library takes a pointer to non-const and only reads it */
    decoded = lo_message_deserialise((void *)(uintptr_t)bytes, length, &result);
    if (!decoded)
        return false;
    message->count = (size_t)lo_message_get_argc(decoded);
    if (message->count > OSC_ARGUMENTS) {
        lo_message_free(decoded);
        return false;
    }
    message->address = (const char *)bytes;
    message->owned = decoded;
    types = lo_message_get_types(decoded);
    values = lo_message_get_argv(decoded);
    for (size_t i = 0; i < message->count; i++)
        message->arguments[i] = argument_of(types[i], values[i]);
    return true;
}

void
osc_release(struct osc_message *message)
{
    lo_message_free(message->owned);
    message->owned = NULL;
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

uint8_t *
osc_encode(const char *address, const struct argument *arguments, size_t count, size_t *length)
{
    lo_message message = lo_message_new();
    uint8_t *bytes = NULL;

    if (!message)
        return NULL;
    for (size_t i = 0; i < count; i++)
        if (add_argument(message, &arguments[i]) != 0)
            goto done;
    bytes = lo_message_serialise(message, address, NULL, length);

done:
    lo_message_free(message);
    return bytes;
}
