/* SPDX-License-Identifier: MIT */
#include "sound/retrim.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "look/look.h"

enum { ROUNDS = 64, WHY_SIZE = sizeof(((struct retrim_stop *)0)->why) };

static const double tiny_db = 1e-9;

static const enum param_id reads[] = {PARAM_INPUT_PREAMP,  PARAM_INPUT_PREAMP_GAIN,
                                      PARAM_INPUT_COMP_ON, PARAM_INPUT_COMP_THRESHOLD,
                                      PARAM_INPUT_GATE_ON, PARAM_INPUT_GATE_THRESHOLD,
                                      PARAM_INPUT_FADER,   PARAM_SEND_ON,
                                      PARAM_SEND_LEVEL,    PARAM_SEND_TAP,
                                      PARAM_MIX_FADER,     PARAM_INPUT_NAME,
                                      PARAM_MIX_NAME,      PARAMS};

/* One send that takes part: on and above off, everything about it known. */
struct send {
    bool open;
    bool follows_fader; /* and the house fader moves with the preamp */
    double from_db;
    double now_db; /* after the passes so far, before its step rounds it */
};

/* The head of one input: its preamp, and what moves with it. */
struct head {
    int preamp;         /* -1: not known */
    bool read;          /* the preamp and all sends are known, */
    bool known;         /* and the same holds for all that share it: it may move */
    double gain_db;     /* of the preamp, after the passes so far */
    double fader_db;    /* likewise; -HUGE_VAL: it does not move */
    double down_db;     /* x_p of this pass */
    double all_down_db; /* of all passes */
    char why[WHY_SIZE]; /* what stops the preamp; "" */
};

/* The master of one mix. */
struct master {
    double db, to_db;   /* before and after this pass */
    bool moves;         /* the mix takes part */
    char why[WHY_SIZE]; /* what stops the master; "" */
};

/* The work sheet. */
struct sheet {
    const struct desk *desk;
    const struct show *show;
    int inputs, mixes;
    struct send *sends; /* inputs x mixes */
    struct head *heads;
    struct master *masters;
    struct retrim *retrim;
};

static struct send *
send_of(const struct sheet *sheet, int input, int mix)
{
    return &sheet->sends[input * sheet->mixes + mix];
}

static bool
share_preamp(const struct sheet *sheet, int input, int other)
{
    return sheet->heads[input].preamp == sheet->heads[other].preamp;
}

static void
say(char why[WHY_SIZE], const char *first, const char *second)
{
    struct text text;

    if (*why)
        return; /* the first stop is the one to look at */
    text_init(&text, why, WHY_SIZE);
    text_add(&text, "%s%s", first, second);
}

static void
say_missed(char why[WHY_SIZE], const char *first, const struct look *look)
{
    char missed[MISSES_SIZE];
    struct text text;

    text_init(&text, missed, sizeof missed);
    misses_add(&text, &look->misses);
    say(why, first, missed);
}

/* ---- reading ---- */

static bool
read_send(struct sheet *sheet, struct look *look, int input, int mix)
{
    struct send *send = send_of(sheet, input, mix);
    double tap;
    bool on;

    if (!look_switch(look, PARAM_SEND_ON, input, mix, &on))
        return false;
    if (!on)
        return true;
    if (!look_number(look, PARAM_SEND_LEVEL, input, mix, &send->from_db) ||
        !look_number(look, PARAM_SEND_TAP, input, mix, &tap))
        return false;
    send->open = send->from_db > -HUGE_VAL;
    send->now_db = send->from_db;
    send->follows_fader = tap == TAP_POST_FADER && sheet->show->role == ROLE_HOUSE;
    return true;
}

static void
read_input(struct sheet *sheet, int input)
{
    struct head *head = &sheet->heads[input];
    struct verdict verdict;
    struct look look = look_reader(sheet->desk, sheet->show, reads, &verdict);
    bool known;

    head->preamp = -1;
    known = look_preamp(&look, input, &head->preamp) &&
            look_number(&look, PARAM_INPUT_PREAMP_GAIN, input, 0, &head->gain_db);
    /* the house's faders keep the house as loud as it was; elsewhere faders stay */
    head->fader_db = -HUGE_VAL;
    if (sheet->show->role == ROLE_HOUSE)
        known = known && look_number(&look, PARAM_INPUT_FADER, input, 0, &head->fader_db);
    for (int mix = 0; mix < sheet->mixes; mix++)
        if (!read_send(sheet, &look, input, mix)) {
            known = false;
            send_of(sheet, input, mix)->open = false;
            sheet->masters[mix].moves = false;
            say_missed(sheet->masters[mix].why, "not known: ", &look);
        }
    head->read = head->known = known;
    if (!known)
        say_missed(head->why, "not known: ", &look);
}

static void
read_mix(struct sheet *sheet, int mix)
{
    struct master *master = &sheet->masters[mix];
    struct verdict verdict;
    struct look look = look_reader(sheet->desk, sheet->show, reads, &verdict);

    master->moves = look_number(&look, PARAM_MIX_FADER, mix, 0, &master->db);
    if (!master->moves)
        say_missed(master->why, "not known: ", &look);
    else if (master->db == -HUGE_VAL)
        master->moves = false; /* a mix that is off has no gain to keep */
}

/* Keeps the preamp of the input where it is. */
static void
hold_preamp(struct sheet *sheet, int input, const char *first, const char *second)
{
    sheet->heads[input].known = false;
    say(sheet->heads[input].why, first, second);
}

/* A preamp stays when it is the house's, when one of its inputs is not known, or when some input's
 * preamp is not known, which might be this one. */
static void
hold_shared(struct sheet *sheet)
{
    for (int i = 0; i < sheet->inputs; i++)
        for (int other = 0; other < sheet->inputs; other++) {
            bool shared = sheet->heads[i].preamp >= 0 && share_preamp(sheet, i, other);

            if (sheet->heads[other].preamp < 0)
                hold_preamp(sheet, i, "another input's preamp is not known", "");
            else if (shared && sheet->show->inputs[other].house_preamp)
                hold_preamp(sheet, i, "the house desk owns the preamp", "; agree it there");
            else if (shared && !sheet->heads[other].read)
                hold_preamp(sheet, i, "an input that shares its preamp is not known", "");
        }
}

/* ---- solving ---- */

/* An end that the profile does not tell stops nothing here. */
static struct travel
ends_of(const struct sheet *sheet, enum param_id id)
{
    struct travel travel = desk_travel(sheet->desk, id);

    return (struct travel){isnan(travel.least) ? -HUGE_VAL : travel.least,
                           isnan(travel.most) ? HUGE_VAL : travel.most};
}

/* A send before its preamp moves: with what its master gives or takes. */
static double
send_base_db(const struct sheet *sheet, int input, int mix)
{
    double now_db = send_of(sheet, input, mix)->now_db;

    return sheet->masters[mix].moves ? now_db + sheet->masters[mix].db - sheet->masters[mix].to_db
                                     : now_db;
}

/* What the preamp's move does to the send. */
static double
send_up_db(const struct sheet *sheet, int input, int mix)
{
    return send_of(sheet, input, mix)->follows_fader ? 0 : sheet->heads[input].down_db;
}

/* Holds the preamp's way down to [least, most]; says what stopped it. */
static double
hold(char why[WHY_SIZE], double want_db, double least_db, double most_db, const char *what)
{
    if (want_db < least_db - tiny_db || want_db > most_db + tiny_db)
        say(why, what, " is at the end of its travel");
    return fmin(fmax(want_db, least_db), most_db);
}

/* The nearest place on the control's grid. Halves go down, wherever they are, so that a level and
 * the same level some steps away fall alike. */
static double
on_grid(double db, double step)
{
    return step > 0 ? ceil(db / step - 0.5 - tiny_db) * step : db;
}

/* The limits that one input's controls set to its preamp's way down. */
static double
hold_input(struct sheet *sheet, int input, double down_db)
{
    struct head *head = &sheet->heads[input];
    struct travel preamp = ends_of(sheet, PARAM_INPUT_PREAMP_GAIN);
    struct travel fader = ends_of(sheet, PARAM_INPUT_FADER);
    struct travel send = ends_of(sheet, PARAM_SEND_LEVEL);
    double gain_db = head->gain_db;

    for (int mix = 0; mix < sheet->mixes; mix++) {
        double base_db =
            on_grid(send_base_db(sheet, input, mix), desk_step(sheet->desk, PARAM_SEND_LEVEL));

        if (!send_of(sheet, input, mix)->open || send_of(sheet, input, mix)->follows_fader)
            continue;
        /* where the master moves, it makes room at the top */
        down_db =
            hold(head->why, down_db, fmin(0, send.least - base_db),
                 sheet->masters[mix].moves ? HUGE_VAL : fmax(0, send.most - base_db), "a send");
    }
    if (head->fader_db > -HUGE_VAL)
        down_db = hold(head->why, down_db, fader.least - head->fader_db,
                       fader.most - head->fader_db, "its house fader");
    return hold(head->why, down_db, fmin(0, gain_db - preamp.most), fmax(0, gain_db - preamp.least),
                "the preamp");
}

/* The way down of the preamp that feeds `first`, for all its inputs. */
static void
solve_preamp(struct sheet *sheet, int first)
{
    double step = desk_step(sheet->desk, PARAM_INPUT_PREAMP_GAIN);
    double loudest_db = -HUGE_VAL, down_db;

    for (int i = first; i < sheet->inputs; i++)
        for (int mix = 0; share_preamp(sheet, i, first) && mix < sheet->mixes; mix++)
            if (send_of(sheet, i, mix)->open && !send_of(sheet, i, mix)->follows_fader &&
                sheet->masters[mix].db > -HUGE_VAL)
                loudest_db = fmax(loudest_db, send_base_db(sheet, i, mix));
    loudest_db = on_grid(loudest_db, desk_step(sheet->desk, PARAM_SEND_LEVEL));
    down_db = loudest_db > -HUGE_VAL ? -loudest_db : 0;
    for (int i = first; i < sheet->inputs; i++)
        if (share_preamp(sheet, i, first))
            down_db = hold_input(sheet, i, down_db);
    if (step > 0)
        down_db = trunc(down_db / step + copysign(tiny_db, down_db)) * step;
    for (int i = first; i < sheet->inputs; i++)
        if (share_preamp(sheet, i, first))
            sheet->heads[i].down_db = down_db;
}

static bool
is_first_of_preamp(const struct sheet *sheet, int input)
{
    for (int i = 0; i < input; i++)
        if (share_preamp(sheet, i, input))
            return false;
    return true;
}

/* Where the master should go so that no send into the mix leaves its travel; true when it moved. */
static bool
solve_master(struct sheet *sheet, int mix)
{
    struct master *master = &sheet->masters[mix];
    struct travel send = ends_of(sheet, PARAM_SEND_LEVEL);
    struct travel travel = ends_of(sheet, PARAM_MIX_FADER);
    double least_db = travel.least, most_db = travel.most, to_db;

    for (int i = 0; i < sheet->inputs; i++) {
        double whole_db;

        if (!send_of(sheet, i, mix)->open)
            continue;
        whole_db = send_of(sheet, i, mix)->now_db + master->db + send_up_db(sheet, i, mix);
        least_db = fmax(least_db, whole_db - send.most);
        most_db = fmin(most_db, whole_db - send.least);
    }
    to_db = least_db > most_db + tiny_db ? master->db : fmin(fmax(0, least_db), most_db);
    /* not rounded to its step: that would move the sends again on the next run */
    if (fabs(to_db) > tiny_db)
        say(master->why, "a send into it is at the end of its travel", "");
    if (fabs(to_db - master->to_db) <= tiny_db)
        return false;
    master->to_db = to_db;
    return true;
}

/* What stopped a control in one round may not in the next. */
static void
forget_stops(struct sheet *sheet)
{
    for (int i = 0; i < sheet->inputs; i++)
        if (sheet->heads[i].known)
            sheet->heads[i].why[0] = '\0';
    for (int mix = 0; mix < sheet->mixes; mix++)
        if (sheet->masters[mix].moves)
            sheet->masters[mix].why[0] = '\0';
}

/* Preamps follow the masters and masters the preamps; settled when no master moves any more. */
static bool
solve(struct sheet *sheet)
{
    for (int round = 0; round < ROUNDS; round++) {
        bool moved = false;

        forget_stops(sheet);
        for (int i = 0; i < sheet->inputs; i++)
            if (sheet->heads[i].known && is_first_of_preamp(sheet, i))
                solve_preamp(sheet, i);
        for (int mix = 0; mix < sheet->mixes; mix++)
            if (sheet->masters[mix].moves)
                moved |= solve_master(sheet, mix);
        if (!moved)
            return true;
    }
    return false;
}

/* Takes a solved pass over as the desk to go on from; true when it moved anything. */
static bool
take_pass(struct sheet *sheet)
{
    bool moved = false;

    for (int i = 0; i < sheet->inputs; i++) {
        struct head *head = &sheet->heads[i];

        for (int mix = 0; mix < sheet->mixes; mix++)
            if (send_of(sheet, i, mix)->open)
                send_of(sheet, i, mix)->now_db =
                    send_base_db(sheet, i, mix) + send_up_db(sheet, i, mix);
        moved |= fabs(head->down_db) > tiny_db;
        head->all_down_db += head->down_db;
        head->gain_db -= head->down_db;
        head->fader_db += head->down_db;
        head->down_db = 0;
    }
    for (int mix = 0; mix < sheet->mixes; mix++) {
        struct master *master = &sheet->masters[mix];

        moved |= master->moves && fabs(master->db - master->to_db) > tiny_db;
        master->db = master->to_db;
    }
    return moved;
}

/* End stops can hold a pass short of what the next one reaches from there, so passes go on until
 * one moves nothing: then a re-trim of the result moves nothing either. */
static bool
solve_all(struct sheet *sheet)
{
    for (int pass = 0; pass < ROUNDS; pass++) {
        for (int mix = 0; mix < sheet->mixes; mix++)
            sheet->masters[mix].to_db = sheet->masters[mix].moves ? 0 : sheet->masters[mix].db;
        if (!solve(sheet))
            return false;
        if (!take_pass(sheet))
            return true;
    }
    return false;
}

/* ---- the list ---- */

static double
value_of(const struct sheet *sheet, enum param_id id, int row)
{
    return desk_value(sheet->desk, id, row, 0)->number;
}

static void
add_move(struct sheet *sheet, struct retrim_move move)
{
    struct retrim *retrim = sheet->retrim;

    if (fabs(move.to - move.from) <= tiny_db && fabs(move.residue_db) <= tiny_db)
        return;
    retrim->moves[retrim->move_count++] = move;
    retrim->worst_residue_db = fmax(retrim->worst_residue_db, fabs(move.residue_db));
}

/* A threshold sees the preamp, so it moves with it; one that is not known is told instead. */
static void
add_threshold(struct sheet *sheet, int input, enum param_id on_id, enum param_id threshold_id)
{
    struct verdict verdict;
    struct look look = look_reader(sheet->desk, sheet->show, reads, &verdict);
    double threshold_db;
    bool on;

    if (sheet->heads[input].all_down_db == 0 || !look_switch(&look, on_id, input, 0, &on) || !on)
        return;
    if (look_number(&look, threshold_id, input, 0, &threshold_db))
        add_move(sheet, (struct retrim_move){threshold_id, input, 0, threshold_db,
                                             threshold_db - sheet->heads[input].all_down_db, 0});
    else
        say_missed(sheet->heads[input].why,
                   "its threshold must move too, but is not known: ", &look);
}

static void
add_input_moves(struct sheet *sheet, int input)
{
    double down_db = sheet->heads[input].all_down_db;
    double gain_db = value_of(sheet, PARAM_INPUT_PREAMP_GAIN, input);
    double fader_db = value_of(sheet, PARAM_INPUT_FADER, input);

    if (is_first_of_preamp(sheet, input)) {
        add_move(sheet, (struct retrim_move){PARAM_INPUT_PREAMP_GAIN, input, 0, gain_db,
                                             gain_db - down_db, 0});
        sheet->retrim->headroom_db = fmax(sheet->retrim->headroom_db, down_db);
    }
    add_threshold(sheet, input, PARAM_INPUT_COMP_ON, PARAM_INPUT_COMP_THRESHOLD);
    add_threshold(sheet, input, PARAM_INPUT_GATE_ON, PARAM_INPUT_GATE_THRESHOLD);
    if (sheet->heads[input].fader_db > -HUGE_VAL)
        add_move(sheet, (struct retrim_move){PARAM_INPUT_FADER, input, 0, fader_db,
                                             fader_db + down_db, 0});
}

static void
add_send_move(struct sheet *sheet, int input, int mix)
{
    struct travel travel = ends_of(sheet, PARAM_SEND_LEVEL);
    double step = desk_step(sheet->desk, PARAM_SEND_LEVEL);
    double exact_db = send_of(sheet, input, mix)->now_db;
    double to_db = on_grid(exact_db, step);

    to_db = fmin(fmax(to_db, travel.least), travel.most);
    add_move(sheet,
             (struct retrim_move){PARAM_SEND_LEVEL, input, mix, send_of(sheet, input, mix)->from_db,
                                  to_db, to_db - exact_db});
}

static void
list_moves(struct sheet *sheet)
{
    for (int i = 0; i < sheet->inputs; i++)
        if (sheet->heads[i].known)
            add_input_moves(sheet, i);
    for (int mix = 0; mix < sheet->mixes; mix++)
        if (sheet->masters[mix].moves)
            add_move(sheet, (struct retrim_move){PARAM_MIX_FADER, mix, 0,
                                                 value_of(sheet, PARAM_MIX_FADER, mix),
                                                 sheet->masters[mix].db, 0});
    for (int mix = 0; mix < sheet->mixes; mix++)
        for (int i = 0; i < sheet->inputs; i++)
            if (send_of(sheet, i, mix)->open &&
                (sheet->heads[i].known || sheet->masters[mix].moves))
                add_send_move(sheet, i, mix);
}

static void
list_stops(struct sheet *sheet)
{
    struct retrim *retrim = sheet->retrim;

    for (int i = 0; i < sheet->inputs + sheet->mixes; i++) {
        bool input = i < sheet->inputs;
        const char *why = input ? sheet->heads[i].why : sheet->masters[i - sheet->inputs].why;
        struct retrim_stop *stop = &retrim->stops[retrim->stop_count];

        if (!*why)
            continue;
        stop->input = input ? i : -1;
        stop->mix = input ? -1 : i - sheet->inputs;
        memcpy(stop->why, why, sizeof stop->why);
        retrim->stop_count++;
    }
}

/* ---- opening and closing ---- */

static void
sheet_init(struct sheet *sheet)
{
    size_t inputs = (size_t)sheet->inputs + 1, mixes = (size_t)sheet->mixes + 1;
    struct retrim *retrim = need_memory(1, sizeof *retrim);

    sheet->retrim = retrim;
    sheet->sends = need_memory(inputs * mixes, sizeof *sheet->sends);
    sheet->heads = need_memory(inputs, sizeof *sheet->heads);
    sheet->masters = need_memory(mixes, sizeof *sheet->masters);
    retrim->moves = need_memory(inputs * (mixes + 4) + mixes, sizeof *retrim->moves);
    retrim->stops = need_memory(inputs + mixes, sizeof *retrim->stops);
}

static void
sheet_release(struct sheet *sheet)
{
    free(sheet->sends);
    free(sheet->heads);
    free(sheet->masters);
}

void
retrim_free(struct retrim *retrim)
{
    if (!retrim)
        return;
    free(retrim->moves);
    free(retrim->stops);
    free(retrim);
}

struct retrim *
retrim_new(const struct desk *desk, const struct show *show)
{
    struct sheet sheet = {.desk = desk,
                          .show = show,
                          .inputs = desk_count(desk, INDEX_INPUT),
                          .mixes = desk_count(desk, INDEX_MIX)};

    sheet_init(&sheet);
    for (int mix = 0; mix < sheet.mixes; mix++)
        read_mix(&sheet, mix);
    for (int i = 0; i < sheet.inputs; i++)
        read_input(&sheet, i);
    hold_shared(&sheet);
    if (solve_all(&sheet))
        list_moves(&sheet);
    else
        say(sheet.masters[0].why,
            "masters and preamps hold each other at their ends; no way was found", "");
    list_stops(&sheet);
    sheet_release(&sheet);
    return sheet.retrim;
}
