/* SPDX-License-Identifier: MIT */
/* `gainwarden compare`: one reading beside the approved desk or a reference. */
#include "command/table.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/read_once.h"
#include "core/need.h"
#include "report/compare.h"
#include "show/approved.h"
#include "show/proved.h"

/* Reads the desk and writes the page. */
static int
compare_with(struct session *session, const struct options *options, struct saved *saved,
             const char *path)
{
    struct compare compare = {.session = session,
                              .saved = saved,
                              .path = path,
                              .reference = options->reference != NULL,
                              .all = options->all};
    int status;

    if (!read_once(session, options, &compare.figures))
        return EXIT_USAGE;
    compare_gather(&compare);
    if (options->format == FORMAT_JSON)
        compare_json(&compare);
    else if (options->format == FORMAT_HTML)
        compare_html(&compare, stdout);
    else
        compare_text(&compare);
    status = compare_status(&compare);
    compare_release(&compare);
    return status;
}

/* Any saved desk will do, so long as its counts are the desk's. */
static struct saved *
read_reference(const struct session *session, const char *path, struct problems *problems)
{
    struct saved *saved = saved_file_read(path, problems);

    if (saved && saved_file_fits(saved, engine_desk(session->engine), path, problems))
        return saved;
    saved_free(saved);
    return NULL;
}

/* The saved desk, with everything wrong told; NULL then. */
static struct saved *
read_saved(const struct session *session, const char *path, bool reference)
{
    struct problems problems = {0};
    struct saved *saved = NULL;

    if (path)
        saved = (reference ? read_reference : approved_read)(session, path, &problems);
    else
        problems_add(&problems, "no approved desk: give a show file, or a file with --approved");
    problems_print(&problems, stderr);
    if (!saved)
        fprintf(stderr, "gainwarden: nothing to compare with; `gainwarden %s` stores it\n",
                reference ? "audit --save=FILE" : "approve");
    problems_release(&problems);
    return saved;
}

/* Where the saved desk stands, to free(); NULL when nothing tells. */
static char *
path_of(const struct session *session, const struct options *options)
{
    char *path;

    if (!options->reference)
        return approved_path(session, options);
    path = need_text(options->reference);
    return path;
}

/* A look at a meter is another one in a second, so checks of meters are left out, as in a watch. */
int
command_compare(const struct options *options)
{
    struct session session;
    struct proved proved = {NULL, NULL};
    struct saved *saved = NULL;
    char *path = NULL;
    int status = EXIT_USAGE;

    if (options->reference && options->approved) {
        fputs("gainwarden: --reference and --approved exclude each other: one page compares with "
              "one file\n",
              stderr);
        return EXIT_USAGE;
    }
    if (session_load_afresh(&session, options, options->words[0], check_set_compared())) {
        path = path_of(&session, options);
        saved = read_saved(&session, path, options->reference != NULL);
        if (saved && proved_attach(&proved, &session, options))
            status = compare_with(&session, options, saved, path);
    }
    saved_free(saved);
    free(path);
    session_release(&session);
    proved_release(&proved);
    return status;
}
