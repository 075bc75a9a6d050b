/* SPDX-License-Identifier: MIT */
/* `gainwarden check`: profiles, show files and stage plans, read as the other commands read them. */
#include "command/table.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/json.h"
#include "base/output.h"
#include "base/schema.h"
#include "command/check_remarks.h"
#include "profile/profile.h"
#include "profile/sending.h"
#include "review/scheme_file.h"
#include "show/file.h"
#include "show/plan_file.h"
#include "tell/cue_check.h"

static void
print_counts(const struct profile *profile, const char *path)
{
    size_t questions = 0;

    for (size_t i = 0; i < profile->entry_count; i++)
        if (profile->entries[i].asks)
            questions +=
                entry_places(profile, &profile->entries[i], profile->entries[i].asked_count);
    output_line_format(stdout, 4,
                       "%s: good profile for %s: %d inputs, %d mixes, %zu entries, %zu questions",
                       path, profile->desk, profile->counts.of[INDEX_INPUT],
                       profile->counts.of[INDEX_MIX], profile->entry_count, questions);
}

static void
print_sending(const struct profile *profile)
{
    struct sending sending;

    sending_of(profile, &sending);
    sending_print(&sending, stdout);
    sending_release(&sending);
}

static bool
check_profile(const struct json *json, const char *path, struct problems *problems)
{
    struct profile *profile = profile_from_json(json, path, problems);

    if (!profile)
        return false;
    print_counts(profile, path);
    print_sending(profile);
    check_remarks(profile, stdout);
    profile_free(profile);
    return true;
}

/* Whoever writes down an agreement means this profile's list. */
static void
check_agreed(const struct show_file *file, const struct profile *profile, struct problems *problems)
{
    struct sending sending;

    sending_of(profile, &sending);
    if (file->agreed && strcmp(file->agreed, sending.hash) != 0)
        problems_add(problems, "%s: desk.agreed: is not the hash of what %s sends; that is %s",
                     file->path, file->profile, sending.hash);
    sending_release(&sending);
}

/* A plan that a show file names is looked at with it, beside the desk's counts and the show's players
 * (NULL: the show is wrong). */
static void
check_stage(const struct show_file *file, const struct profile *profile, const struct show *show,
            struct problems *problems)
{
    struct stage *stage = file->stage ? plan_file_read(file->stage, problems) : NULL;

    if (stage && plan_file_fits(stage, &profile->counts, file->stage, problems) && show)
        plan_file_find_ears(stage, show, file->stage, problems);
    free(stage);
}

static bool
check_show(const char *path, struct problems *problems)
{
    size_t before = problems->count;
    struct show_file *file = show_file_open(path, problems);
    struct profile *profile = NULL;
    struct show *show = NULL;
    bool good;

    if (file && !file->profile)
        problems_add(problems,
                     "%s: desk.profile: is missing; the numbers of inputs and mixes come "
                     "from the profile",
                     path);
    if (file && file->profile)
        profile = profile_load(file->profile, path, problems);
    if (profile) {
        check_agreed(file, profile, problems);
        cue_check(file, &(struct cue_desk){file->host, profile}, 1, problems);
        show = show_file_show(file, &profile->counts, problems);
        check_stage(file, profile, show, problems);
    }
    good = show && problems->count == before;
    if (good)
        output_line_format(stdout, 4, "%s: good show file, %s, with %s", path, show->name,
                           file->profile);
    show_free(show);
    profile_free(profile);
    show_file_free(file);
    return good;
}

static bool
check_scheme(const char *path, struct problems *problems)
{
    struct scheme *scheme = scheme_file_read(path, problems);
    int sum = 0;

    if (!scheme)
        return false;
    for (int i = 0; i < scheme->group_count; i++)
        sum += scheme->groups[i].marks_tenths;
    output_line_format(stdout, 4, "%s: good scheme, %s, version %s, %g marks, SHA-256 %s", path,
                       scheme->name, scheme->version, sum / 10.0, scheme->sha256);
    free(scheme);
    return true;
}

static bool
check_plan(const struct json *json, const char *path, struct problems *problems)
{
    struct stage *stage = plan_file_from_json(json, path, problems);

    if (!stage)
        return false;
    output_line_format(stdout, 4, "%s: good stage plan: %d microphones, %d loudspeakers, %d pairs",
                       path, stage->microphone_count, stage->loudspeaker_count, stage->pair_count);
    free(stage);
    return true;
}

/* Each kind of file is told by the key that gives its format. */
static bool
check_file(const char *path, struct problems *problems)
{
    struct json *json = json_read(path, problems);
    bool good = false;

    if (!json)
        return false;
    if (json_get(json, "profile_format"))
        good = check_profile(json, path, problems);
    else if (json_get(json, "show_format"))
        good = check_show(path, problems);
    else if (json_get(json, "scheme_format"))
        good = check_scheme(path, problems);
    else if (plan_file_is(json))
        good = check_plan(json, path, problems);
    else
        problems_add(problems,
                     "%s: neither \"profile_format\": 1 nor \"show_format\": 1 nor "
                     "\"scheme_format\": 1 nor \"stage_format\": 1 says what it is",
                     path);
    json_free(json);
    return good;
}

static const struct {
    const char *kind;
    const struct field *fields;
} schemas[] = {{"profile", profile_fields}, {"show", show_file_fields}, {"stage", plan_fields}};

static int
print_schema(const struct options *options)
{
    size_t at = 0, count = sizeof schemas / sizeof *schemas;
    struct json *schema;

    while (at < count && strcmp(options->schema, schemas[at].kind) != 0)
        at++;
    if (at == count) {
        fprintf(stderr, "gainwarden: --schema=%s: allowed are profile, show and stage\n",
                options->schema);
        return EXIT_USAGE;
    }
    if (options->word_count > 0) {
        fputs("gainwarden: --schema reads no file\nTry `gainwarden check --help`.\n", stderr);
        return EXIT_USAGE;
    }
    schema = schema_of_fields(schemas[at].fields);
    json_put(schema);
    json_free(schema);
    return EXIT_CLEAN;
}

int
command_check(const struct options *options)
{
    struct problems problems = {0};
    bool good = true;

    if (options->schema)
        return print_schema(options);
    if (options->word_count == 0) {
        fputs("gainwarden: check needs at least one file\nTry `gainwarden check --help`.\n",
              stderr);
        return EXIT_USAGE;
    }
    for (int i = 0; i < options->word_count; i++)
        good &= check_file(options->words[i], &problems);
    fflush(stdout);
    problems_tell(&problems);
    return good ? EXIT_CLEAN : EXIT_USAGE;
}
