/* SPDX-License-Identifier: MIT */
/* `gainwarden review`: marks for one setup or a class of them. */
#include "command/table.h"

#include <signal.h>
#include <stdlib.h>
#include <string.h>

#include "base/escape.h"
#include "core/need.h"
#include "report/findings.h"
#include "review/folder.h"
#include "review/review.h"
#include "review/scheme_file.h"

enum { REVIEW_FORMAT = 1 };

struct review {
    const struct options *options;
    struct scheme *scheme;
    struct show_file *show; /* NULL: none */
    struct review_class list;
    struct review_folder *folder; /* NULL: standard output */
    struct json *setups;          /* of a JSON report */
    const char **paths;           /* of the saved desks, in the order in which they are told */
    int status;                   /* the exit status that the setups ask for */
    int64_t told_ms;              /* when progress was told last */
    struct problems problems;
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
    bool seen[CHECKS] = {false};

    for (size_t i = 0; i < score->line_count; i++) {
        int check = score->lines[i].finding->check->number;

        if (score->lines[i].why == SCORE_SAME_CAUSE)
            continue;
        list->checks[check].setups += !seen[check];
        list->checks[check].lost_tenths += score->lines[i].lost_tenths;
        seen[check] = true;
    }
}

static void
count_accepted(struct review_row *row, const struct setup *setup)
{
    const struct finding *const *findings;
    size_t count = engine_findings(setup->engine, &findings);

    for (size_t i = 0; i < count; i++) {
        row->accepted += findings[i]->accept >= 0;
        row->accepted_stops +=
            findings[i]->accept >= 0 && findings[i]->verdict.weight == WEIGHT_STOP;
    }
}

static void
keep_row(struct review *review, const struct setup *setup)
{
    struct review_row *row = &review->list.rows[review->list.count++];

    memcpy(row->id, setup->id, sizeof row->id);
    memcpy(row->file, setup->file, sizeof row->file);
    memcpy(row->at, setup->saved->at, sizeof row->at);
    memcpy(row->groups, setup->score->groups, sizeof row->groups);
    row->total = setup->score->total;
    row->no_pass = score_no_pass(setup->score, setup->scheme);
    report_count_open(setup->engine, row->of);
    count_accepted(row, setup);
    if (row->of[WEIGHT_FIX] + row->of[WEIGHT_STOP] > 0)
        review->status = EXIT_FINDINGS;
    else if (row->total.of[JUDGED_NOT_KNOWN] > 0 && review->status == EXIT_CLEAN)
        review->status = EXIT_NOT_KNOWN;
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
    int64_t now_ms = clock_grown_ms();

    if (review->told_ms == 0)
        review->told_ms = now_ms;
    if (now_ms - review->told_ms < 1000)
        return;
    review->told_ms = now_ms;
    fprintf(stderr, "gainwarden: %d of %d setups\n", done, review->options->word_count);
}

/* The number keeps setups of the same name, at several dates, apart; a long name is cut, between
 * two characters, so that a file can be called so. */
static void
name_sheet(struct setup *setup, int number)
{
    char fits[101];

    escape_clean(fits, sizeof fits, setup->id);
    snprintf(setup->file, sizeof setup->file, "sheet-%d-%s.html", number + 1, fits);
}

/* Adds a problem when the same student's setup of the same time was marked before: it would count
 * twice. */
static void
refuse_twice(struct review *review, const struct setup *setup, int number)
{
    for (size_t i = 0; i < review->list.count; i++)
        if (strcmp(review->list.rows[i].id, setup->id) == 0 &&
            strcmp(review->list.rows[i].at, setup->saved->at) == 0)
            problems_add(&review->problems, "%s: the same student and time as %s, read %s",
                         review->paths[number], review->paths[i], setup->saved->at);
}

static bool
read_setup(struct review *review, struct setup *setup, int number)
{
    return setup_read(setup, review->scheme, review->show, review->paths[number],
                      review->options->anonymous, &review->problems);
}

static bool
review_one(struct review *review, int number)
{
    struct setup setup;
    bool good = read_setup(review, &setup, number);

    if (good)
        refuse_twice(review, &setup, number);
    /* with a mistake in one saved desk nothing is written, and the others are only read */
    if (good && review->problems.count == 0) {
        name_sheet(&setup, number);
        good = write_setup(review, &setup);
        keep_row(review, &setup);
    }
    setup_release(&setup);
    tell_progress(review, number + 1);
    return good || review->problems.count > 0;
}

/* ---- all of them ---- */

struct named {
    char id[REVIEW_ID_SIZE];
    const char *path;
    int word;
};

static int
by_id(const void *one, const void *other)
{
    const struct named *a = one, *b = other;
    int order = strcmp(a->id, b->id);

    return order != 0 ? order : a->word - b->word;
}

/* As they were named; where names are hidden by their hidden ids, because a class is named in the
 * order of the alphabet, and the place in it would tell who it is. */
static void
put_in_order(struct review *review)
{
    const struct options *options = review->options;
    int count = options->word_count;
    struct named *list = need_memory((size_t)count, sizeof *list);

    review->paths = need_memory((size_t)count, sizeof *review->paths);
    for (int i = 0; i < count; i++) {
        list[i] = (struct named){.path = options->words[i], .word = i};
        if (options->anonymous)
            setup_id(options->words[i], options->anonymous, list[i].id);
    }
    qsort(list, (size_t)count, sizeof *list, by_id);
    for (int i = 0; i < count; i++)
        review->paths[i] = list[i].path;
    free(list);
}

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

    json_add_number(root, "review_format", REVIEW_FORMAT);
    json_add_string(scheme, "scheme", review->scheme->name);
    json_add_string(scheme, "version", review->scheme->version);
    json_add_string(scheme, "sha256", review->scheme->sha256);
    json_add(root, "scheme", scheme);
    json_add_string(root, "cannot_show", review_cannot_show);
    json_add(root, "setups", review->setups);
    review->setups = NULL;
    json_put(root);
    json_free(root);
}

static bool
is_going_on(const struct review *review)
{
    return review->problems.count == 0 && !interrupted;
}

/* The files were good a moment ago; one that is no longer ends the printing. */
static bool
print_texts(struct review *review)
{
    for (int i = 0; i < review->options->word_count && is_going_on(review); i++) {
        struct setup setup;

        if (i > 0)
            puts("\n");
        if (read_setup(review, &setup, i))
            review_text(&setup);
        setup_release(&setup);
    }
    return is_going_on(review);
}

/* Reads and marks every saved desk; nothing stays written when one of them is wrong. */
static bool
review_all(struct review *review)
{
    bool good = true;

    for (int i = 0; i < review->options->word_count && good && !interrupted; i++)
        good = review_one(review, i);
    if (!good || !is_going_on(review))
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
    struct problems *problems = &review->problems;

    if (options->format == FORMAT_JSON)
        review->setups = json_new_array();
    put_in_order(review);
    review->list.rows = need_memory((size_t)options->word_count, sizeof *review->list.rows);
    review->list.scheme = review->scheme = scheme_file_read(options->scheme, problems);
    if (options->show)
        review->show = show_file_open(options->show, problems);
    if (problems->count == 0 && options->to)
        review->folder = review_folder_open(options->to, options->word_count, problems);
    return problems->count == 0;
}

static void
release(struct review *review)
{
    review_folder_close(review->folder);
    json_free(review->setups);
    free(review->paths);
    free(review->list.rows);
    show_file_free(review->show);
    free(review->scheme);
}

int
command_review(const struct options *options)
{
    struct review review = {.options = options};
    struct sigaction catch = {.sa_handler = on_interrupt};
    bool loaded, good;

    if (!check_words(options))
        return EXIT_USAGE;
    sigaction(SIGINT, &catch, NULL);
    sigaction(SIGTERM, &catch, NULL);
    loaded = load(&review);
    good = loaded && review_all(&review);
    problems_tell(&review.problems);
    if (loaded && !good && interrupted)
        fputs("gainwarden: interrupted\n", stderr);
    release(&review);
    return good ? review.status : EXIT_USAGE;
}
