#include "command/completion.h"

#include <ctype.h>
#include <string.h>

#include "base/embedded.h"
#include "base/options.h"
#include "check/check.h"
#include "command/commands.h"
#include "desk/room.h"

/* What the script calls things that are no list of words. */
#define FILES "@files"
#define FOLDERS "@folders"
#define ANYTHING "@anything" /* nobody can know it beforehand */

/* ---- what is taken, as the help writes it: "FILE", "text|json", "[CHECK|TOPIC]", "SHOW..." ----
 */

static void
print_checks(FILE *to)
{
    for (int i = 0; i < check_count; i++)
        fprintf(to, "%s%s", i ? " " : "", checks[i]->id);
}

static void
print_rooms(FILE *to)
{
    for (int i = 0; i < ROOMS; i++)
        fprintf(to, "%s%s", i ? " " : "", room_name((enum room)i));
}

static void
print_topics(FILE *to)
{
    for (size_t i = 0; explain_topic(i); i++)
        fprintf(to, "%s%s", i ? " " : "", explain_topic(i));
}

/* One of the alternatives. A word in small letters is the word itself. */
static void
print_alternative(FILE *to, const char *word, size_t length)
{
    static const struct {
        const char *word;
        const char *as;
        void (*print)(FILE *to);
    } known[] = {{"FILE", FILES, NULL},         {"SHOW", FILES, NULL},
                 {"FOLDER", FOLDERS, NULL},     {"ID", NULL, print_checks},
                 {"CHECK", NULL, print_checks}, {"TOPIC", NULL, print_topics},
                 {"ROOM", NULL, print_rooms}};

    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        if (strlen(known[i].word) != length || strncmp(known[i].word, word, length) != 0)
            continue;
        if (known[i].print)
            known[i].print(to);
        else
            fputs(known[i].as, to);
        return;
    }
    if (islower((unsigned char)*word))
        fprintf(to, "%.*s", (int)length, word);
    else
        fputs(ANYTHING, to);
}

/* The alternatives of one word, up to its space or end; returns what is behind it. */
static const char *
print_taken(FILE *to, const char *word)
{
    const char *end = word + strcspn(word, " ");

    fputc('\'', to);
    word += *word == '[';
    for (;;) {
        size_t length = strcspn(word, "|[]. ");

        print_alternative(to, word, length);
        word += length;
        if (*word != '|')
            break;
        fputc(' ', to);
        word++;
    }
    fputc('\'', to);
    return end;
}

/* ---- the tables ---- */

static void
print_command(FILE *to, const struct command *command)
{
    const char *name, *argument, *word = command->words;
    int row = 0;

    fprintf(to, "    %s)\n        options=(", command->name);
    while (options_next(command, &row, &name, &argument)) {
        fprintf(to, "\n            [--%s]=", name);
        if (argument)
            print_taken(to, argument);
    }
    fputs(")\n        words=(", to);
    while (*word) {
        word = print_taken(to, word);
        if (*word)
            fputc(*word++, to);
    }
    fprintf(to, ")\n        repeats=%s\n        ;;\n", strstr(command->words, "...") ? "yes" : "");
}

static void
print_first_words(FILE *to)
{
    fputs("_gainwarden_first='", to);
    for (int i = 0; i < command_count; i++)
        fprintf(to, "%s ", commands[i].name);
    for (const struct program_option *option = program_options; option->name; option++)
        fprintf(to, "%s%s", option->name, option[1].name ? " " : "'\n");
}

void
completion_print(FILE *to)
{
    fputs(embedded_completion, to);
    print_first_words(to);
    fputs("\n_gainwarden_takes()\n{\n    case $1 in\n", to);
    for (int i = 0; i < command_count; i++)
        print_command(to, &commands[i]);
    fputs("    esac\n}\n", to);
}
