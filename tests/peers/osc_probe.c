/* SPDX-License-Identifier: MIT */
/* Our encoder and decoder for tests in other languages, in the line format of lines.py: on each
 * line of standard input
 *
 *   encode MESSAGE   is answered by the bytes in hex
 *   decode HEX       by the messages seen in the datagram, and by "!" and the reason for each that
 *                    is turned down
 *
 * A decoded number is printed as what it was taken for, a double. Of an argument that is neither
 * number, text, switch nor blob the type alone is printed.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "osc/check.h"
#include "osc/osc.h"

enum { HEX_DIGITS = 16 };

static void
fail(const char *why)
{
    fprintf(stderr, "osc_probe: %s\n", why);
    exit(2);
}

static void
print_hex(const void *bytes, size_t length)
{
    for (size_t i = 0; i < length; i++)
        printf("%02x", ((const uint8_t *)bytes)[i]);
}

/* Hex digits to bytes, in place. */
static size_t
from_hex(char *text)
{
    size_t length = strlen(text) / 2;

    for (size_t i = 0; i < length; i++) {
        char pair[3] = {text[2 * i], text[2 * i + 1], 0}, *end;

        text[i] = (char)strtoul(pair, &end, HEX_DIGITS);
        if (*end)
            fail("not hex");
    }
    text[length] = 0;
    return length;
}

static struct argument
argument_of(char *word)
{
    struct argument argument = {.kind = ARGUMENT_NUMBER, .type = *word};

    if (*word == 's') {
        from_hex(word + 1);
        argument.kind = ARGUMENT_TEXT;
        argument.text = word + 1;
    } else if (*word == 'T' || *word == 'F') {
        argument.kind = ARGUMENT_SWITCH;
    } else {
        argument.number = strtod(word + 1, NULL);
    }
    return argument;
}

static void
encode(char *line)
{
    struct argument arguments[OSC_ARGUMENTS];
    const char *address = strtok(line, "\t");
    size_t count = 0, length;
    uint8_t *bytes;
    char *word;

    if (!address)
        fail("no address");
    while ((word = strtok(NULL, "\t"))) {
        if (count == OSC_ARGUMENTS)
            fail("too many arguments");
        arguments[count++] = argument_of(word);
    }
    bytes = osc_encode(address, arguments, count, true, &length);
    if (!bytes)
        fail("not encoded");
    print_hex(bytes, length);
    free(bytes);
}

static void
print_argument(const struct argument *argument)
{
    printf("\t%c", argument->type);
    if (argument->kind == ARGUMENT_TEXT)
        print_hex(argument->text, strlen(argument->text));
    else if (argument->kind == ARGUMENT_BLOB)
        print_hex(argument->text, (size_t)argument->number);
    else if (argument->kind == ARGUMENT_NUMBER)
        printf("%.17g", argument->number);
    else if (argument->kind == ARGUMENT_SWITCH && argument->number != (argument->type == 'T'))
        fail("a switch whose number is not its type");
}

/* `context` counts the messages of the datagram. */
static void
print_message(void *context, const uint8_t *bytes, size_t length)
{
    struct osc_message message;
    int *messages = context;

    if ((*messages)++ > 0)
        fputs("\t=>\t", stdout);
    if (!osc_decode(&message, bytes, length))
        fail("not decoded");
    fputs(message.address, stdout);
    for (size_t i = 0; i < message.count; i++)
        print_argument(&message.arguments[i]);
}

static void
print_reject(void *context, enum osc_reject why, const uint8_t *bytes, size_t length)
{
    (void)context;
    (void)bytes;
    (void)length;
    printf("!%s", osc_reject_name(why));
}

static void
decode(char *line)
{
    size_t length = from_hex(line);
    uint8_t *bytes = malloc(length); /* its own size, so that the sanitizer guards its end */
    int messages = 0;

    if (!bytes)
        fail("no memory");
    memcpy(bytes, line, length);
    osc_check_datagram(bytes, length, (struct osc_forms){0},
                       &(struct osc_told){print_message, print_reject, &messages});
    free(bytes);
}

int
main(void)
{
    char *line = NULL;
    size_t size = 0;

    while (getline(&line, &size, stdin) > 0) {
        line[strcspn(line, "\n")] = 0;
        if (strncmp(line, "encode\t", 7) == 0)
            encode(line + 7);
        else if (strncmp(line, "decode\t", 7) == 0)
            decode(line + 7);
        else
            fail("neither encode nor decode");
        putchar('\n');
    }
    free(line);
    return 0;
}
