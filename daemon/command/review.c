/* SPDX-License-Identifier: MIT */
/* `gainwarden review`: marks for one setup or a class of them. */
#include "command/review.h"

#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/escape.h"
#include "core/need.h"
#include "review/folder.h"
#include "review/review.h"

enum { REVIEW_FORMAT = 1 };

struct review {
    const struct options *options;
    struct scheme_file *scheme;
    struct show_file *show; /* NULL: none */
    struct review_class list;
    struct review_folder *folder; /* NULL: standard output */
    struct json *setups;          /* of a JSON report */
    bool to_fix;                  /* a finding of weight fix or stop was open */
    double told_s;                /* when progress was told last */
};

static volatile sig_atomic_t interrupted;

static void
on_interrupt(int number)
{
    (void)number;
    interrupted = 1;
}

/* ---- one setup ---- */

static void
count_checks(struct review_class *list, const struct score *score)
{
    bool *seen = need_memory((size_t)CHECKS, sizeof *seen);

    for (size_t i = 0; i < score->line_count; i++) {
        int check = score->lines[i].finding->check->number;

        if (!seen[check])
            list->setups_with[check]++;
        seen[check] = true;
        list->lost_tenths[check] += score->lines[i].lost_tenths;
    }
    free(seen);
}

static void
keep_row(struct review *review, const struct setup *setup)
{
    struct review_row *row = &review->list.rows[review->list.count++];
    const struct finding *const *findings;
    size_t count = engine_findings(setup->engine, &findings);

    memcpy(row->id, setup->id, sizeof row->id);
    memcpy(row->file, setup->file, sizeof row->file);
    memcpy(row->at, setup->saved->at, sizeof row->at);
    memcpy(row->groups, setup->score->groups, sizeof row->groups);
    row->total = setup->score->total;
    for (size_t i = 0; i < count; i++)
        row->of[findings[i]->verdict.weight] += findings[i]->accept < 0;
    review->to_fix |= row->of[WEIGHT_FIX] + row->of[WEIGHT_STOP] > 0;
    count_checks(&review->list, setup->score);
}

/* False when a sheet could not be written, which was then told. Text waits until every desk was
 * read. */
static bool
write_setup(struct review *review, const struct setup *setup)
{
    enum format format = review->options->format;

    if (review->folder)
        return review_folder_sheet(review->folder, setup);
    if (format == FORMAT_JSON)
        json_add(review->setups, NULL, review_json(setup));
    else if (format == FORMAT_HTML)
        review_sheet(setup, stdout);
    return true;
}

/* Long work says how far it is, once a second. */
static void
tell_progress(struct review *review, int done)
{
    struct timespec now;
    double now_s;

    clock_gettime(CLOCK_MONOTONIC, &now);
    now_s = (double)now.tv_sec + (double)now.tv_nsec / 1e9;
    if (review->told_s == 0)
        review->told_s = now_s;
    if (now_s - review->told_s < 1)
        return;
    review->told_s = now_s;
    fprintf(stderr, "gainwarden: %d of %d setups\n", done, review->options->word_count);
}

/* The number keeps setups of the same name, at several dates, apart; a long name is cut, between
 * two characters, so that a file can be called so. */
static void
name_sheet(struct setup *setup, int number)
{
    enum { MOST = 100 };
    size_t fits = 0;

    while (setup->id[fits]) {
        size_t length = escape_character(setup->id + fits);

        length = length > 0 ? length : 1;
        if (fits + length > MOST)
            break;
        fits += length;
    }
    snprintf(setup->file, sizeof setup->file, "sheet-%d-%.*s.html", number + 1, (int)fits,
             setup->id);
}

/* Adds a problem when the same student's setup of the same time was marked before: it would count
 * twice. */
static void
refuse_twice(const struct review *review, const struct setup *setup, int number,
             struct problems *problems)
{
    for (size_t i = 0; i < review->list.count; i++)
        if (strcmp(review->list.rows[i].id, setup->id) == 0 &&
            strcmp(review->list.rows[i].at, setup->saved->at) == 0)
            problems_add(problems, "%s: the same student and time as %s, read %s",
                         review->options->words[number], review->options->words[i],
                         setup->saved->at);
}

static bool
review_one(struct review *review, int number, struct problems *problems)
{
    struct setup setup;
    bool good = setup_read(&setup, review->scheme, review->show, review->options->words[number],
                           review->options->anonymous, problems);

    if (good)
        refuse_twice(review, &setup, number, problems);
    /* with a mistake in one saved desk nothing is written, and the others are only read */
    if (good && problems->count == 0) {
        name_sheet(&setup, number);
        good = write_setup(review, &setup);
        keep_row(review, &setup);
    }
    setup_release(&setup);
    tell_progress(review, number + 1);
    return good || problems->count > 0;
}

/* ---- all of them ---- */

static int
by_id_and_time(const void *one, const void *other)
{
    const struct review_row *a = one, *b = other;
    long long at = clock_parse_time(a->at), other_at = clock_parse_time(b->at);
    int order = strcmp(a->id, b->id);

    if (order == 0)
        order = (at > other_at) - (at < other_at);
    return order != 0 ? order : strcmp(a->file, b->file);
}

static void
print_json(struct review *review)
{
    struct json *root = json_new_object(), *scheme = json_new_object();
    char *text;

    json_add_number(root, "review_format", REVIEW_FORMAT);
    json_add_string(scheme, "scheme", review->scheme->scheme.name);
    json_add_string(scheme, "version", review->scheme->scheme.version);
    json_add_string(scheme, "sha256", review->scheme->sha256);
    json_add(root, "scheme", scheme);
    json_add_string(root, "cannot_show", review_cannot_show);
    json_add(root, "setups", review->setups);
    review->setups = NULL;
    text = json_print(root, true);
    puts(text);
    free(text);
    json_free(root);
}

/* The files were good a moment ago; one that is no longer ends the printing. */
static bool
print_texts(const struct review *review)
{
    struct problems problems = {0};
    bool good;

    for (int i = 0; i < review->options->word_count && problems.count == 0 && !interrupted; i++) {
        struct setup setup;

        if (i > 0)
            puts("\n");
        if (setup_read(&setup, review->scheme, review->show, review->options->words[i],
                       review->options->anonymous, &problems))
            review_text(&setup);
        setup_release(&setup);
    }
    good = problems.count == 0 && !interrupted;
    problems_tell(&problems);
    return good;
}

/* Reads and marks every saved desk; nothing stays written when one of them is wrong. */
static bool
review_all(struct review *review)
{
    struct problems problems = {0};
    bool good = true;

    for (int i = 0; i < review->options->word_count && good && !interrupted; i++)
        good = review_one(review, i, &problems);
    problems_print(&problems, stderr);
    good = good && problems.count == 0 && !interrupted;
    problems_release(&problems);
    if (!good)
        return false;
    qsort(review->list.rows, review->list.count, sizeof *review->list.rows, by_id_and_time);
    if (review->folder)
        return review_folder_finish(review->folder, &review->list);
    if (review->options->format == FORMAT_TEXT)
        return print_texts(review);
    if (review->options->format == FORMAT_JSON)
        print_json(review);
    else if (review->options->format == FORMAT_CSV)
        review_csv(&review->list, stdout);
    return true;
}

/* False when the words do not fit together, which was then told. */
static bool
check_words(const struct options *options)
{
    if (options->word_count == 0)
        fputs("gainwarden: no saved desk: name one or more files of `gainwarden audit --save`\n"
              "Try `gainwarden review --help`.\n",
              stderr);
    else if (options->format == FORMAT_HTML && options->word_count > 1 && !options->to)
        fputs("gainwarden: several setups are several pages: name a folder for them with --to\n",
              stderr);
    else
        return true;
    return false;
}

static bool
load(struct review *review)
{
    const struct options *options = review->options;
    struct problems problems = {0};
    bool good;

    review->scheme = scheme_file_read(options->scheme, &problems);
    if (options->show)
        review->show = show_file_open(options->show, &problems);
    if (review->scheme && problems.count == 0 && options->to)
        review->folder = review_folder_open(options->to, &problems);
    problems_print(&problems, stderr);
    good = problems.count == 0;
    problems_release(&problems);
    return good;
}

static void
release(struct review *review)
{
    review_folder_close(review->folder);
    json_free(review->setups);
    free(review->list.rows);
    free(review->list.setups_with);
    free(review->list.lost_tenths);
    show_file_free(review->show);
    free(review->scheme);
}

int
command_review(const struct options *options)
{
    struct review review = {.options = options};
    struct sigaction catch = {.sa_handler = on_interrupt};
    int status = EXIT_USAGE;

    if (!check_words(options))
        return EXIT_USAGE;
    sigaction(SIGINT, &catch, NULL);
    sigaction(SIGTERM, &catch, NULL);
    review.list.rows = need_memory((size_t)options->word_count, sizeof *review.list.rows);
    review.list.setups_with = need_memory((size_t)CHECKS, sizeof *review.list.setups_with);
    review.list.lost_tenths = need_memory((size_t)CHECKS, sizeof *review.list.lost_tenths);
    if (options->format == FORMAT_JSON)
        review.setups = json_new_array();
    if (load(&review)) {
        review.list.scheme = review.scheme;
        if (review_all(&review))
            status = review.to_fix ? EXIT_FINDINGS : EXIT_CLEAN;
        else if (interrupted)
            fputs("gainwarden: interrupted\n", stderr);
        for (size_t i = 0; status == EXIT_CLEAN && i < review.list.count; i++)
            if (review.list.rows[i].total.unknown > 0)
                status = EXIT_NOT_KNOWN;
    }
    release(&review);
    return status;
}
