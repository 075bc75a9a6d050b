#include "osc.h"

#include <lo/lo.h>
#include <stdlib.h>
#include <string.h>

/* Bytes of a string with its padding. */
static size_t
padded(const char *string)
{
    return (strlen(string) / 4 + 1) * 4;
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
    default:
        argument.kind = ARGUMENT_OTHER;
    }
    return argument;
}

/* Bytes an argument takes. The check has seen that they are there. */
static size_t
argument_size(char type, const uint8_t *bytes)
{
    lo_arg size;

    if (type == LO_BLOB) { /* the library's own measure reads the length in host order */
        memcpy(&size, bytes, 4);
        lo_arg_host_endian(LO_INT32, &size);
        return 4 + ((size_t)size.i + 3) / 4 * 4;
    }
    if (type == LO_STRING || type == LO_SYMBOL)
        return padded((const char *)bytes);
    return lo_arg_size((lo_type)type, (void *)(uintptr_t)bytes);
}

/* Walks a checked message in place: no memory is asked for, so a flood of messages costs none. */
bool
osc_decode(struct osc_message *message, const uint8_t *bytes, size_t length)
{
    const uint8_t *at = bytes;
    const char *type;

    (void)length;
    message->address = (const char *)bytes;
    message->count = 0;
    message->address_size = padded(message->address);
    at += message->address_size;
    type = (const char *)at + 1;
    at += padded((const char *)at);
    for (; *type; type++) {
        if (message->count == OSC_ARGUMENTS)
            return false;
        message->arguments[message->count++] = decode_argument(*type, at);
        at += argument_size(*type, at);
    }
    return true;
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
