/* SPDX-License-Identifier: MIT */
#include "show/session.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/host_port.h"
#include "core/need.h"
#include "saved/file.h"
#include "saved/proved.h"
#include "show/approved.h"
#include "show/proved.h"
#include "spectrum/bands.h"

static bool
split_desk(struct session *session, const char *desk, struct problems *problems)
{
    char *host = host_port_read("--desk", desk, 1, &session->port, problems);

    if (!host)
        return false;
    free(session->host);
    session->host = host;
    if (!*host)
        problems_add(problems, "--desk=%s: the host is missing", desk);
    return *host != '\0';
}

/* The saved desk stands for the desk. */
static void
forget_host(struct session *session)
{
    free(session->host);
    session->host = NULL;
}

static bool
load_files(struct session *session, const struct options *options, const char *show,
           struct problems *problems)
{
    const char *path = options->profile;

    if (show) {
        session->file = show_file_open(show, problems);
        if (!session->file)
            return false;
        if (session->file->stage)
            session->plan = json_read(session->file->stage, problems);
        path = path ? path : session->file->profile;
        session->port = session->file->port;
        session->host = need_text(session->file->host);
    }
    if (!path)
        problems_add(problems, show
                                   ? "no profile: name one in the show file under desk.profile, or "
                                     "with --profile"
                                   : "no profile: give a show file, or --profile and --desk");
    if (options->saved)
        forget_host(session);
    else if (options->desk)
        split_desk(session, options->desk, problems);
    else if (!session->host)
        problems_add(problems, "no desk: name its host in the show file under desk.host, or with "
                               "--desk");
    if (path)
        session->profile = profile_load(path, options->profile ? NULL : show, problems);
    return session->profile && problems->count == 0;
}

/* The plan, for as many inputs and mixes as the desk has; without it there is no show. */
static struct show *
put_plan(const struct session *session, struct show *show, struct problems *problems)
{
    if (!show || !session->plan ||
        show_file_put_plan(session->file, show, session->plan, &session->profile->counts, problems))
        return show;
    show_free(show);
    return NULL;
}

struct show *
session_show(const struct session *session, struct problems *problems)
{
    const struct desk_counts *counts = &session->profile->counts;

    if (session->file)
        return put_plan(session, show_file_show(session->file, counts, problems), problems);
    return check_set_show(check_set_all, counts->of[INDEX_INPUT], counts->of[INDEX_MIX]);
}

/* `role`: in place of the show file's; NULL: none. */
static bool
make_engine(struct session *session, const char *role, struct check_set set,
            struct problems *problems)
{
    const struct profile *profile = session->profile;
    struct show *show = session_show(session, problems);

    if (!show)
        return false;
    if (role)
        show->role = strcmp(role, "house") == 0 ? ROLE_HOUSE : ROLE_MONITOR;
    session->engine = engine_new(profile_desk(profile), show, set);
    engine_set_day(session->engine, clock_day());
    if (session->port == 0)
        session->port = profile->link.port;
    return true;
}

static bool
read_afresh(struct session *session, const struct options *options, const char *show,
            struct check_set set, struct problems *problems)
{
    *session = (struct session){0};
    return load_files(session, options, show, problems) &&
           make_engine(session, options->role, set, problems);
}

bool
session_read(struct session *session, const struct options *options, const char *show,
             struct check_set set, struct problems *problems)
{
    return read_afresh(session, options, show, set, problems) &&
           approved_attach(session, options, problems);
}

bool
session_read_made(struct session *session, const struct options *options,
                  const struct json *profile, struct problems *problems)
{
    *session = (struct session){0};
    if (!split_desk(session, options->desk, problems))
        return false;
    session->profile = profile_from_json(profile, "--ask", problems);
    return session->profile && make_engine(session, options->role, check_set_lasting(), problems);
}

static void
restore_approved(struct session *session, const char *text, const char *name,
                 struct problems *problems)
{
    struct saved *saved = saved_file_parse(text, strlen(text), name, problems);

    if (saved && saved_file_fits(saved, engine_desk(session->engine), name, problems))
        approved_set(session, saved);
    else
        saved_free(saved);
}

static void
restore_proved(struct session *session, const char *text, const char *name,
               struct problems *problems)
{
    struct proved_file *proved = proved_file_parse(text, strlen(text), name, problems);

    if (proved && proved_file_fits(proved, engine_desk(session->engine), name, problems))
        proved_set(session, proved);
    else
        proved_file_free(proved);
}

bool
session_restore(struct session *session, const struct session_parts *parts, const char *name,
                struct problems *problems)
{
    size_t before = problems->count;

    *session = (struct session){.port = parts->port};
    session->host = need_text(parts->host);
    if (parts->show)
        session->file = show_file_from_json(json_copy(parts->show), name, problems);
    if (parts->plan && session->file && session->file->stage)
        session->plan = json_copy(parts->plan);
    session->profile = profile_from_json(parts->profile, name, problems);
    if (problems->count > before || !make_engine(session, NULL, check_set_lasting(), problems))
        return false;
    if (parts->approved)
        restore_approved(session, parts->approved, name, problems);
    if (parts->proved)
        restore_proved(session, parts->proved, name, problems);
    return problems->count == before;
}

/* Tells what is wrong. */
static bool
load(struct session *session, const struct options *options, const char *show, struct check_set set,
     bool afresh)
{
    struct problems problems = {0};
    bool good;

    good = (afresh ? read_afresh : session_read)(session, options, show, set, &problems);
    problems_tell(&problems);
    return good;
}

bool
session_load(struct session *session, const struct options *options, const char *show,
             struct check_set set)
{
    return load(session, options, show, set, false);
}

bool
session_load_afresh(struct session *session, const struct options *options, const char *show,
                    struct check_set set)
{
    return load(session, options, show, set, true);
}

void
session_release(struct session *session)
{
    engine_free(session->engine);
    proved_file_free(session->proved);
    free(session->proved_wrong);
    profile_free(session->profile);
    show_file_free(session->file);
    json_free(session->plan);
    free(session->host);
}

void
session_watch_spectra(struct session *session)
{
    const struct profile_spectrum *spectrum = &session->profile->spectrum;
    const struct spectrum_bands bands = {session->profile->counts.of[INDEX_MIX_SPECTRUM_BAND],
                                         spectrum->lowest_hz, spectrum->highest_hz};

    if (bands.count > 0)
        engine_watch_spectra(session->engine, &bands, spectrum->per_second);
}

void
session_source(const struct session *session, char text[SESSION_SOURCE_SIZE])
{
    if (session->host)
        snprintf(text, SESSION_SOURCE_SIZE, "%s at %s port %d", session->profile->desk,
                 session->host, session->port);
    else
        snprintf(text, SESSION_SOURCE_SIZE, "%s, as saved at %s", session->profile->desk,
                 session->saved_at);
}

/* With the time of the reading, which a saved desk tells anyway. */
static void
say_reading(const struct session *session, char text[SESSION_SOURCE_SIZE + CLOCK_SIZE])
{
    char when[CLOCK_SIZE];

    session_source(session, text);
    if (!session->host)
        return;
    strcat(text, ", ");
    strcat(text, clock_rfc3339(when));
}

void
session_headline(const struct session *session, char text[SESSION_HEADLINE_SIZE])
{
    const char *show = engine_show(session->engine)->name;
    char reading[SESSION_SOURCE_SIZE + CLOCK_SIZE];

    say_reading(session, reading);
    snprintf(text, SESSION_HEADLINE_SIZE, "%s%s%s", show, *show ? ": " : "", reading);
}

const char *
session_at(const struct session *session, char when[CLOCK_SIZE])
{
    return session->host ? clock_rfc3339(when) : session->saved_at;
}

const char *
session_name(const struct session *session)
{
    const char *show = engine_show(session->engine)->name;

    return *show ? show : session->profile->desk;
}
