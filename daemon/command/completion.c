/* SPDX-License-Identifier: MIT */
/* What bash needs to complete the words of this program, made from the tables of commands, options
 * and checks, so that it knows what the program knows. */
#include "command/table.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "base/embedded.h"
#include "check/check.h"
#include "desk/room.h"

/* What the script calls things that are no list of words. */
#define FILES "@files"
#define FOLDERS "@folders"
#define ANYTHING "@anything" /* nobody can know it beforehand */

/* ---- what is taken, in the help's words: "FILE", "text|json", "[CHECK|TOPIC]", "SHOW..." ---- */

static const char *
check_at(size_t i)
{
    return i < CHECKS ? check_name((int)i) : NULL;
}

static const char *
room_at(size_t i)
{
    return i < ROOMS ? room_name((enum room)i) : NULL;
}

static void
print_words(completion_words_fn *at)
{
    for (size_t i = 0; at(i); i++)
        printf("%s%s", i ? " " : "", at(i));
}

/* One of the alternatives. A word in small letters is the word itself. */
static void
print_alternative(const char *word, size_t length, completion_words_fn *topic)
{
    const struct {
        const char *word;
        const char *as; /* NULL: the words of `at` */
        completion_words_fn *at;
    } known[] = {{"FILE", FILES, NULL},  {"SHOW", FILES, NULL},     {"FOLDER", FOLDERS, NULL},
                 {"ID", NULL, check_at}, {"CHECK", NULL, check_at}, {"TOPIC", NULL, topic},
                 {"ROOM", NULL, room_at}};

    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        if (strlen(known[i].word) != length || strncmp(known[i].word, word, length) != 0)
            continue;
        if (known[i].as)
            fputs(known[i].as, stdout);
        else
            print_words(known[i].at);
        return;
    }
    if (islower((unsigned char)*word))
        printf("%.*s", (int)length, word);
    else
        fputs(ANYTHING, stdout);
}

/* The alternatives of one word, up to its space or end; returns what is behind it. */
static const char *
print_taken(const char *word, completion_words_fn *topic)
{
    const char *end = word + strcspn(word, " ");

    putchar('\'');
    word += *word == '[';
    for (;;) {
        size_t length = strcspn(word, "|[]. ");

        print_alternative(word, length, topic);
        word += length;
        if (*word != '|')
            break;
        putchar(' ');
        word++;
    }
    putchar('\'');
    return end;
}

/* ---- the tables ---- */

static void
print_command(const struct command *command, completion_words_fn *topic)
{
    const char *name, *argument, *word = command->words;
    int row = 0;

    printf("    %s)\n        options=(", command->name);
    while (options_next(command, &row, &name, &argument)) {
        printf("\n            [--%s]=", name);
        if (argument)
            print_taken(argument, topic);
    }
    fputs(")\n        words=(", stdout);
    while (*word) {
        word = print_taken(word, topic);
        if (*word)
            putchar(*word++);
    }
    printf(")\n        repeats=%s\n        ;;\n", strstr(command->words, "...") ? "yes" : "");
}

static void
print_first_words(const struct command *all)
{
    fputs("_gainwarden_first='", stdout);
    for (const struct command *command = all; command->name; command++)
        printf("%s ", command->name);
    for (const struct program_option *option = program_options; option->name; option++)
        printf("%s%s", option->name, option[1].name ? " " : "'\n");
}

void
completion_print(const struct command *all, completion_words_fn *topic)
{
    fputs(embedded_completion, stdout);
    print_first_words(all);
    fputs("\n_gainwarden_takes()\n{\n    case $1 in\n", stdout);
    for (const struct command *command = all; command->name; command++)
        print_command(command, topic);
    fputs("    esac\n}\n", stdout);
}
