/* SPDX-License-Identifier: MIT */
/* One setup: from its saved desk to its marks. No profile is needed: the file holds the desk, and
 * the show file, where one is given, who plays where.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "advice/plan.h"
#include "base/escape.h"
#include "base/sha256.h"
#include "base/text_format.h"
#include "core/need.h"
#include "core/text.h"
#include "review/review.h"

/* The file's name without folder and .json. What could move a cursor or is no UTF-8 becomes \xNN,
 * so that every form of a sheet is text, and names that differ stay apart. */
static void
name_of(const char *path, char name[REVIEW_ID_SIZE])
{
    const char *slash = strrchr(path, '/');
    const char *base = slash ? slash + 1 : path;
    size_t length = strlen(base);
    struct text text;

    text_init(&text, name, REVIEW_ID_SIZE);
    if (length > 5 && strcmp(base + length - 5, ".json") == 0)
        length -= 5;
    for (const char *end = base + length; base < end && text.used + 4 < REVIEW_ID_SIZE;) {
        size_t bytes = escape_is_harmless(base) ? escape_character(base) : 0;

        if (bytes > 0)
            text_format(&text, "%.*s", (int)bytes, base);
        else
            text_format(&text, "\\x%02x", (unsigned char)*base);
        base += bytes > 0 ? bytes : 1;
    }
    if (text.used == 0)
        text_add(&text, "setup");
}

/* The first digits of the SHA-256 of word, NUL and name: who knows the word can find the name, the
 * pages lead nobody back to it, and a student keeps the id from date to date. */
static void
hide_name(char name[REVIEW_ID_SIZE], const char *word)
{
    size_t length = strlen(word) + 1 + strlen(name);
    char *both = need_memory(length + 1, 1), digest[SHA256_TEXT_SIZE];

    memcpy(both, word, strlen(word) + 1);
    strcpy(both + strlen(word) + 1, name);
    sha256_text(both, length, digest);
    free(both);
    snprintf(name, REVIEW_ID_SIZE, "student-%.10s", digest);
}

void
setup_id(const char *path, const char *word, char id[REVIEW_ID_SIZE])
{
    name_of(path, id);
    if (word)
        hide_name(id, word);
}

/* With its stage plan, where it names one; NULL with the problems. */
static struct show *
show_of_file(const struct show_file *file, const struct desk_counts *counts,
             struct problems *problems)
{
    struct show *show = show_file_show(file, counts, problems);
    struct json *plan = show && file->stage ? json_read(file->stage, problems) : NULL;
    bool good =
        !show || !file->stage || (plan && show_file_put_plan(file, show, plan, counts, problems));

    json_free(plan);
    if (good)
        return show;
    show_free(show);
    return NULL;
}

/* The show for this desk; without a show file, one that says nothing but that it is a monitor
 * desk. */
static struct show *
show_for(const struct show_file *file, const struct desk *desk, struct problems *problems)
{
    struct desk_counts counts;
    struct show *show;

    for (int kind = 0; kind < INDEX_KINDS; kind++)
        counts.of[kind] = desk_count(desk, (enum index_kind)kind);
    if (file)
        return show_of_file(file, &counts, problems);
    show = check_set_show(check_set_all, counts.of[INDEX_INPUT], counts.of[INDEX_MIX]);
    show->role = ROLE_MONITOR;
    return show;
}

/* The day of the saved desk, so that what was accepted until then is, and marks do not change with
 * the calendar. */
static int
day_of(const struct saved *saved)
{
    char day[11];

    snprintf(day, sizeof day, "%.10s", saved->at);
    return clock_parse_day(day);
}

bool
setup_read(struct setup *setup, const struct scheme *scheme, const struct show_file *show_file,
           const char *path, const char *word, struct problems *problems)
{
    struct show *show;

    *setup =
        (struct setup){.scheme = scheme, .anonymous = word != NULL, .no_show = show_file == NULL};
    setup_id(path, word, setup->id);
    setup->saved = saved_file_read(path, problems);
    if (!setup->saved)
        return false;
    show = show_for(show_file, setup->saved->desk, problems);
    if (!show)
        return false;
    setup->engine = engine_new(setup->saved->desk, show, check_set_all);
    setup->saved->desk = NULL; /* the engine's now */
    engine_set_day(setup->engine, day_of(setup->saved));
    engine_run(setup->engine, 0, NULL, NULL);
    setup->plan = engine_advise(setup->engine, 0);
    setup->score = score_new(setup->engine, setup->plan, scheme);
    return true;
}

void
setup_release(struct setup *setup)
{
    score_free(setup->score);
    plan_free(setup->plan);
    engine_free(setup->engine);
    saved_free(setup->saved);
}
