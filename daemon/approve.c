/* `gainwarden approve`: stores the desk as it is. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "approved.h"
#include "clock.h"
#include "commands.h"
#include "difference.h"
#include "escape.h"
#include "read_once.h"
#include "report.h"
#include "words.h"

enum { LISTED = 12 };

/* Lists what was not heard; how many values. */
static size_t
list_unknown(const struct desk *desk)
{
    size_t count = 0;

    for (int i = 0; i < PARAMS; i++) {
        enum param_id id = (enum param_id)i;

        if (desk_supplied(desk, id) != SUPPLY_HEARD || !difference_is_setting(id))
            continue;
        for (int row = 0; row < desk_rows(desk, id); row++)
            for (int column = 0; column < desk_columns(desk, id); column++) {
                char place[200];
                struct text text;

                if (desk_value(desk, id, row, column)->state == VALUE_KNOWN || ++count > LISTED)
                    continue;
                text_init(&text, place, sizeof place);
                words_place(&text, desk, id, row, column);
                fputs("gainwarden: not known: ", stderr);
                escape_print(stderr, place);
                fputc('\n', stderr);
            }
    }
    if (count > LISTED)
        fprintf(stderr, "gainwarden: and %zu more\n", count - LISTED);
    return count;
}

static void
print_open(const struct session *session)
{
    const struct finding *const *findings;
    size_t count = engine_findings(session->engine, &findings), weights[WEIGHTS] = {0};

    for (size_t i = 0; i < count; i++)
        weights[findings[i]->verdict.weight]++;
    printf("with it stand: %zu to stop for, %zu to fix, %zu to know\n", weights[WEIGHT_STOP],
           weights[WEIGHT_FIX], weights[WEIGHT_NOTE]);
}

static int
store(const struct options *options, const struct session *session, int64_t now_ms)
{
    const struct desk *desk = engine_desk(session->engine);
    struct state_note note = {.desk = ""};
    bool named;
    char *path = approved_path(options, session->file, &named);
    size_t unknown = list_unknown(desk);
    int status = EXIT_USAGE;

    escape_clean(note.desk, sizeof note.desk, session->profile->desk);
    escape_clean(note.show, sizeof note.show, engine_show(session->engine)->name);
    escape_clean(note.by, sizeof note.by, options->by ? options->by : "");
    escape_clean(note.note, sizeof note.note, options->note ? options->note : "");
    clock_rfc3339(note.at);
    if (unknown > 0 && !options->incomplete) {
        fprintf(
            stderr,
            "gainwarden: %zu value%s not known; nothing is stored. --incomplete stores the rest\n",
            unknown, unknown == 1 ? " is" : "s are");
    } else if (!path) {
        fputs("gainwarden: where to: name a show file, or --approved FILE\n", stderr);
    } else if (!state_file_write(path, desk, &note, now_ms)) {
        fprintf(stderr, "gainwarden: %s: cannot be written: %s\n", path, strerror(errno));
    } else {
        printf("approved at %s%s%s: %zu values in ", note.at, *note.by ? " by " : "", note.by,
               desk_count_state(desk, VALUE_KNOWN));
        escape_print(stdout, path);
        putchar('\n');
        print_open(session);
        status = EXIT_CLEAN;
    }
    free(path);
    return status;
}

int
command_approve(const struct options *options)
{
    struct session session;
    struct link_figures figures;
    int status = EXIT_USAGE;

    if (session_load(&session, options, options->words[0], false) &&
        read_once(&session, options->within_s, &figures))
        status = store(options, &session, figures.now_ms);
    session_release(&session);
    return status;
}
