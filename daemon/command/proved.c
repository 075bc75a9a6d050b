/* SPDX-License-Identifier: MIT */
/* `gainwarden proved`: what ring-outs proved, and how much of it is left on the desk as it stands. */
#include "command/table.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/atomic_file.h"
#include "base/output.h"
#include "base/whole_file.h"
#include "command/control_ask.h"
#include "command/read_once.h"
#include "proof/say.h"
#include "report/report.h"
#include "show/approved.h"
#include "show/proved.h"

enum { SAYS_SIZE = 1000 };

struct listing {
    struct session *session;
    const struct proofs *proofs;
    const char *path;
    struct proof *proof; /* NULL: no ceiling is kept */
};

static const struct desk *
desk_of(const struct listing *listing)
{
    return engine_desk(listing->session->engine);
}

/* A mix of which nothing is to be said. */
static bool
is_no_loop(const struct listing *listing, int mix)
{
    return proof_of_mix(listing->proof, mix)->state == PROOF_NO_LOOP;
}

/* ---- text ---- */

static void
print_mix(const struct listing *listing, int mix)
{
    char name[200], says[SAYS_SIZE];
    struct text text;

    text_init(&text, name, sizeof name);
    proof_says_mix(&text, desk_of(listing), mix);
    text_init(&text, says, sizeof says);
    proof_says(&text, listing->proof, mix);
    output_format(2, 4, "%s: %s", name, says);
    if (proof_guesses_mix(listing->proof, mix))
        output_format(4, 4, "(what it feeds is not known: it counts)");
}

/* Inputs of which nobody knows whether they are microphones, so that they count. */
static void
print_guesses(const struct listing *listing)
{
    char says[SAYS_SIZE];
    const char *between = "";
    struct text text;

    text_init(&text, says, sizeof says);
    for (int input = 0; input < desk_count(desk_of(listing), INDEX_INPUT); input++) {
        if (!proof_guesses_input(listing->proof, input))
            continue;
        text_add(&text, "%s%d", between, input + 1);
        between = ", ";
    }
    if (*says)
        output_format(2, 4, "Their source is not known, so they count as microphones: inputs %s.",
                      says);
}

static void
print_margins(const struct listing *listing)
{
    char says[SAYS_SIZE];
    struct text text;

    output_format(0, 2, "\nMargin now");
    if (!listing->proof) {
        output_format(2, 4, "not known: no ceiling is kept");
        return;
    }
    for (int mix = 0; mix < desk_count(desk_of(listing), INDEX_MIX); mix++)
        if (!is_no_loop(listing, mix))
            print_mix(listing, mix);
    text_init(&text, says, sizeof says);
    proof_says_desk(&text, listing->proof);
    output_format(2, 4, "all: %s", says);
    print_guesses(listing);
    output_format(2, 2, "%s", PROOF_CARE);
}

/* ", by monitor engineer: after line check" */
static void
add_made(struct text *text, const struct proof_made *made)
{
    text_add(text, "%s%s", *made->by ? ", by " : "", made->by);
    text_add(text, "%s%s", *made->note ? ": " : "", made->note);
}

static void
print_ceiling(const struct listing *listing, int number)
{
    const struct proof_ceiling *ceiling = &listing->proofs->ceilings[number - 1];
    char says[SAYS_SIZE];
    struct text text;

    text_init(&text, says, sizeof says);
    text_add(&text, "%s did not ring: ", ceiling->made.at);
    if (ceiling->mix < 0)
        text_add(&text, "all together");
    else
        proof_says_mix(&text, desk_of(listing), ceiling->mix);
    text_add(&text, "%s, in steps of %f dB", ceiling->mix < 0 ? "" : " alone", ceiling->step_db);
    add_made(&text, &ceiling->made);
    output_format(2, 5, "%d  %s", number, says);
}

static void
add_below(struct text *text, double below_db)
{
    if (below_db >= 0)
        text_add(text, ", %f dB above where it stands now", below_db);
    else if (below_db < 0)
        text_add(text, ", %f dB below where it stands now", -below_db);
}

static void
print_ring(const struct listing *listing, int index)
{
    const struct proof_ring *ring = &listing->proofs->rings[index];
    char says[SAYS_SIZE];
    struct text text;

    text_init(&text, says, sizeof says);
    text_add(&text, "%s rang at ", ring->made.at);
    proof_says_hz(&text, ring->hz);
    text_add(&text, " in ");
    proof_says_mix(&text, desk_of(listing), ring->mix);
    if (ring->input >= 0) {
        text_add(&text, " through ");
        proof_says_input(&text, desk_of(listing), ring->input);
    }
    if (listing->proof)
        add_below(&text, proof_below_ring_db(listing->proof, index));
    add_made(&text, &ring->made);
    output_format(2, 5, "%d  %s", listing->proofs->ceiling_count + index + 1, says);
}

static void
print_kept(const struct listing *listing)
{
    output_format(0, 2, "\nWhat is kept (%d), in %s",
                  listing->proofs->ceiling_count + listing->proofs->ring_count, listing->path);
    for (int i = 0; i < listing->proofs->ceiling_count; i++)
        print_ceiling(listing, i + 1);
    for (int i = 0; i < listing->proofs->ring_count; i++)
        print_ring(listing, i);
    if (listing->proofs->left)
        output_format(2, 5, "the desk as the ring-out left it: %s", listing->proofs->left_made.at);
}

static void
print_text(const struct listing *listing)
{
    char headline[SESSION_HEADLINE_SIZE];

    session_headline(listing->session, headline);
    output_format(0, 4, "%s", headline);
    print_margins(listing);
    print_kept(listing);
}

/* ---- JSON ---- */

static struct json *
made_json(const struct proof_made *made)
{
    struct json *json = json_new_object();

    json_add_string(json, "at", made->at);
    json_add_string(json, "by", made->by);
    json_add_string(json, "note", made->note);
    return json;
}

/* A thousandth is finer than any control. What is not known stays away. */
static void
add_number(struct json *json, const char *key, double number)
{
    if (isfinite(number))
        json_add_number(json, key, round(number * 1000) / 1000);
}

static struct json *
figure_json(const struct proof_figure *figure)
{
    struct json *json = json_new_object(), *moves = json_new_array();

    add_number(json, "db", figure->db);
    add_number(json, "hz", figure->hz);
    json_add_number(json, "input", figure->input + 1);
    json_add_number(json, "mix", figure->mix + 1);
    json_add_number(json, "ceiling", figure->ceiling + 1);
    add_number(json, "allowance_db", figure->allowance_db);
    for (int kind = 0; kind < ALLOWANCES; kind++)
        if (figure->moves.kinds >> kind & 1)
            json_add_string(moves, NULL, allowance_name((enum allowance)kind));
    json_add(json, "allowed_for", moves);
    return json;
}

static struct json *
mix_json(const struct listing *listing, int mix)
{
    const struct proof_mix *of = proof_of_mix(listing->proof, mix);
    struct json *json = json_new_object();
    char says[SAYS_SIZE];
    struct text text;

    text_init(&text, says, sizeof says);
    proof_says(&text, listing->proof, mix);
    json_add_number(json, "mix", mix + 1);
    json_add_string(json, "label", desk_text(desk_of(listing), PARAM_MIX_NAME, mix, 0));
    json_add_string(json, "is", proof_state_name(of->state));
    if (of->state == PROOF_NONE)
        json_add_string(json, "why", proof_why_name(of->why));
    if (of->margin.ceiling >= 0)
        json_add(json, "margin", figure_json(&of->margin));
    if (of->alone.ceiling >= 0)
        json_add(json, "alone", figure_json(&of->alone));
    add_number(json, "after_db", of->after_db);
    add_number(json, "rose_db", of->rose_db);
    if (of->less_db > 0)
        json_add_number(json, "less_db", of->less_db);
    json_add_string(json, "says", says);
    return json;
}

static struct json *
margins_json(const struct listing *listing)
{
    struct json *list = json_new_array();

    for (int mix = 0; listing->proof && mix < desk_count(desk_of(listing), INDEX_MIX); mix++)
        if (!is_no_loop(listing, mix))
            json_add(list, NULL, mix_json(listing, mix));
    return list;
}

static struct json *
ceilings_json(const struct proofs *proofs)
{
    struct json *list = json_new_array();

    for (int i = 0; i < proofs->ceiling_count; i++) {
        struct json *json = made_json(&proofs->ceilings[i].made);

        json_add_number(json, "number", i + 1);
        if (proofs->ceilings[i].mix >= 0)
            json_add_number(json, "mix", proofs->ceilings[i].mix + 1);
        add_number(json, "step_db", proofs->ceilings[i].step_db);
        json_add(list, NULL, json);
    }
    return list;
}

static struct json *
rings_json(const struct listing *listing)
{
    const struct proofs *proofs = listing->proofs;
    struct json *list = json_new_array();

    for (int i = 0; i < proofs->ring_count; i++) {
        const struct proof_ring *ring = &proofs->rings[i];
        struct json *json = made_json(&ring->made);

        json_add_number(json, "number", proofs->ceiling_count + i + 1);
        add_number(json, "hz", ring->hz);
        json_add_number(json, "mix", ring->mix + 1);
        if (ring->input >= 0)
            json_add_number(json, "input", ring->input + 1);
        if (listing->proof)
            add_number(json, "above_now_db", proof_below_ring_db(listing->proof, i));
        json_add(list, NULL, json);
    }
    return list;
}

static void
print_json(const struct listing *listing)
{
    struct json *json = json_new_object();
    char at[CLOCK_SIZE];

    json_add_string(json, "show", session_name(listing->session));
    json_add_string(json, "at", session_at(listing->session, at));
    json_add_string(json, "file", listing->path);
    json_add(json, "mixes", margins_json(listing));
    if (listing->proof && proof_of_desk(listing->proof)->ceiling >= 0)
        json_add(json, "all", figure_json(proof_of_desk(listing->proof)));
    json_add(json, "ceilings", ceilings_json(listing->proofs));
    json_add(json, "rings", rings_json(listing));
    if (listing->proofs->left)
        json_add(json, "left", made_json(&listing->proofs->left_made));
    json_add_string(json, "care", PROOF_CARE);
    json_put(json);
    json_free(json);
}

/* ---- the command ---- */

/* What was asked for, and not answered. */
static bool
is_known(const struct listing *listing)
{
    for (int mix = 0; listing->proof && mix < desk_count(desk_of(listing), INDEX_MIX); mix++)
        if (proof_of_mix(listing->proof, mix)->state == PROOF_NOT_KNOWN)
            return false;
    return true;
}

static int
list(struct session *session, const struct options *options, const struct proved *proved)
{
    struct listing listing = {
        .session = session, .proofs = &proved->file->proofs, .path = proved->path};
    struct link_figures figures;
    int status;

    if (!read_once(session, options, &figures))
        return EXIT_USAGE;
    if (listing.proofs->ceiling_count > 0)
        listing.proof =
            proof_new(engine_desk(session->engine), engine_show(session->engine), listing.proofs);
    if (options->format == FORMAT_JSON)
        print_json(&listing);
    else
        print_text(&listing);
    status = is_known(&listing) ? EXIT_CLEAN : EXIT_NOT_KNOWN;
    proof_free(listing.proof);
    return status;
}

/* What is taken out stays in the file before, which is kept as PATH.1. */
static int
forget(const struct options *options, struct proved *proved)
{
    if (!proved_file_forget(proved->file, options->forget)) {
        fprintf(stderr, "gainwarden: --forget=%d: %s has %d\n", options->forget, proved->path,
                proved->file->proofs.ceiling_count + proved->file->proofs.ring_count);
        return EXIT_USAGE;
    }
    if (!approved_keep_old(proved->path) || !proved_file_write(proved->file, proved->path)) {
        fprintf(stderr, "gainwarden: %s: cannot write: %s; nothing was forgotten\n", proved->path,
                whole_file_why(errno));
        return EXIT_USAGE;
    }
    output_format(0, 4, "%d is forgotten; what was kept before is in %s.1", options->forget,
                  proved->path);
    return EXIT_CLEAN;
}

static int
run(struct session *session, const struct options *options)
{
    struct problems problems = {0};
    struct proved proved;
    int lock = options->forget ? atomic_file_lock_folder(session->file->path) : -1;
    int status = EXIT_USAGE;

    if (proved_read(&proved, session, options, &problems) && !proved.file) {
        fprintf(stderr, "gainwarden: nothing is kept of a ring-out of this show\n");
        status = options->forget ? EXIT_USAGE : EXIT_NOT_KNOWN;
    } else if (proved.file) {
        status = options->forget ? forget(options, &proved) : list(session, options, &proved);
    }
    atomic_file_unlock(lock);
    if (options->forget && status == EXIT_CLEAN) /* a watch would go on counting on it */
        control_take_over(options, stdout);
    problems_tell(&problems);
    proved_release(&proved);
    return status;
}

int
command_proved(const struct options *options)
{
    struct session session;
    int status = EXIT_USAGE;

    if (!options->words[0]) {
        fputs("gainwarden: which show: name its show file\n", stderr);
        return EXIT_USAGE;
    }
    if (session_load_afresh(&session, options, options->words[0], check_set_lasting()))
        status = run(&session, options);
    session_release(&session);
    return status;
}
