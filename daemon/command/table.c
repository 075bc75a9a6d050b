/* SPDX-License-Identifier: MIT */
#include "command/table.h"

#include <stdio.h>

#include "base/output.h"
#include "watch/watch.h"

#define BIT(name) (UINT64_C(1) << OPTION_##name)

/* To ask a desk, to read one once, and to speak to the watch of one. */
#define ASKING (BIT(PROFILE) | BIT(DESK) | BIT(KEEP) | BIT(YES))
#define READING (ASKING | BIT(WITHIN))
#define TO_WATCH (BIT(PROFILE) | BIT(DESK) | BIT(KEEP) | BIT(FORMAT))

const struct command commands[] = {
    {"audit", "[SHOW]", "read the desk once and report what to change",
     "Reads every value the profile names, runs every check, prints one page and ends. "
     "SHOW is a show file. Without one, --profile and --desk say what to read; kinds of "
     "sources and mixes are then taken from the labels on the desk.",
     READING | BIT(FORMAT_HTML) | BIT(ALL) | BIT(APPROVED) | BIT(SAVED) | BIT(SAVE) | BIT(ROLE), 1,
     command_audit},
    {"watch", "[SHOW...]", "stay with the desk and tell what changes",
     "Reads the desk, prints the audit page, then stays: tells each finding when it is "
     "raised, gets worse or is cleared, on the terminal and to the chat hook of the show "
     "file. Ends on Ctrl-C; SIGHUP reads the files anew. With several show files it watches "
     "all their desks at once, each on its own; lines then begin with the name of the show. "
     "On a terminal it is one screen, ? shows its keys; --plain prints lines there too. --join "
     "shows the screen of a watch of this show that runs already, without another desk or watch: "
     "q leaves, and the watch goes on.",
     ASKING | BIT(STILL_EVERY) | BIT(ALL) | BIT(PLAIN) | BIT(BOARD) | BIT(JOIN) | BIT(TRACE) |
         BIT(APPROVED) | BIT(RECORD) | BIT(RECORD_LIMIT),
     64, command_watch},
    {"replay", "FILE", "run a recorded watch once more, and print what it told",
     "Runs the watch over a recording that `watch --record` made, much faster than it was, and "
     "prints the lines with the recording's own times. It needs no other file, speaks to no "
     "desk and tells nobody else. With --save, the desk as it stood at the end, or at --at, is "
     "stored as a saved desk that audit, retrim and compare take with --saved.",
     BIT(ALL) | BIT(TRACE) | BIT(SAVE) | BIT(AT), 1, command_replay},
    {"retrim", "[SHOW]", "print what to set, card by card",
     "Reads the desk once and prints cards: what moved goes back, masters to 0 dB, unused preamp "
     "gain back. Each card is whole in itself, softer first, and ends no louder than it began. "
     "They are for a person to follow; nothing is sent to the desk.",
     READING | BIT(FORMAT_HTML) | BIT(SAVED) | BIT(ALL) | BIT(ROLE), 1, command_retrim},
    {"stage", "SHOW", "say what rings first on the stage, and what helps",
     "Reads the desk once beside the stage plan that the show file names under desk.stage, and "
     "estimates: how far the stage is from ringing and give or take how much, which paths lead and "
     "at which frequency, how loud players can have it, and what on the stage helps most. Without "
     "sensitivities, amplifier gains and the desk's calibration it tells differences alone.",
     READING | BIT(FORMAT_HTML) | BIT(SAVED) | BIT(ROLE), 1, command_stage},
    {"listen", "[SHOW]", "show what the desk says and what the profile makes of it",
     "For writing a profile: prints each address the desk speaks from, with its types, last "
     "value and rate, and the value it became or why it became none. Ends on Ctrl-C with the "
     "entries that never got an answer, and a suggested entry for each address that has none. "
     "With --desk alone it needs no profile: it sends nothing but what --ask=MESSAGE says, and "
     "ends with what came, by pattern, and a profile to start from. With --turn it asks for one "
     "control after another to be turned at the desk, and makes a profile of what moves.",
     ASKING | BIT(ASK) | BIT(FOR) | BIT(PORT) | BIT(SAVE_PROFILE) | BIT(TURN), 1, command_listen},
    {"approve", "SHOW", "store the desk as it is, as it should stay",
     "Reads the desk once and writes every value to a file: SHOW without .json, and with "
     ".approved.json behind it, or as the show file says. `compare` and the watch look at it. "
     "What was approved before is kept with .1 behind it (and what stood there with .2), and what "
     "changed since is printed. While a finding of weight stop stands, it is replaced only with "
     "--stop-too. With --input or --mix one object alone is approved: \"I meant it\".",
     READING | BIT(APPROVED) | BIT(INCOMPLETE) | BIT(INPUT) | BIT(MIX) | BIT(STOP_TOO) | BIT(BY) |
         BIT(NOTE),
     1, command_approve},
    {"compare", "SHOW", "say what differs from the approved desk",
     "Reads the desk once and lists findings that are new, worse or fixed since the desk was "
     "approved, by player, then what moved, the loudest upwards first, with its weight, and the "
     "cards that put it back. "
     "With --reference it compares with any saved desk, a trainer's or a tour's: path gains "
     "that differ, then values by kind. A preamp that differs while every path gain agrees, as "
     "behind a re-trim, is another offset and no difference.",
     READING | BIT(FORMAT_HTML) | BIT(ALL) | BIT(APPROVED) | BIT(SAVED) | BIT(REFERENCE) |
         BIT(ROLE),
     1, command_compare},
    {"proved", "SHOW", "say what ring-outs proved, and how much of it is left",
     "Reads the desk once and prints, for each mix that feeds loudspeakers, the margin that a "
     "ring-out proved and the desk's numbers since have left: where it is least, through which "
     "input, and since which move. Then what is kept: ceilings, which did not ring, and rings. It "
     "knows nothing of what moved outside the desk. --forget takes one of them out; what was kept "
     "before stays in a file with .1 behind it.",
     READING | BIT(FORMAT) | BIT(SAVED) | BIT(FORGET), 1, command_proved},
    {"ring-out", "SHOW", "follow a ring-out, say what to do next, keep what it proves",
     "Follows somebody who rings out, by what moves on the desk: names rings and cuts, what they "
     "cost and won, says what to do next and what goes against the book, and keeps what was proved "
     "beside the show file, at once. One mix after another, then all together from 12 dB down; "
     "--mix follows one alone. Where a watch of this show runs it follows through that watch, "
     "which "
     "holds findings of the mixes being rung out back meanwhile. On a terminal it is one screen: l "
     "turns to large letters, q ends it. It replaces no qualified person; protect your ears.",
     ASKING | BIT(FORMAT) | BIT(MIX) | BIT(PLAIN) | BIT(BY) | BIT(NOTE), 1, command_ring_out},
    {"review", "FILE...", "mark one or many setups by a scheme",
     "For trainers: each FILE is a saved desk (`audit --save`), the file's name the student's id. "
     "Prints a sheet with every mark explained, what was right, and what settings cannot show; "
     "--to FOLDER writes a page for each setup, overview.html and marks.csv. The same files, "
     "scheme and show file give the same marks; `explain scheme` prints the built-in one.",
     BIT(FORMAT_CSV) | BIT(SCHEME) | BIT(SHOW) | BIT(TO) | BIT(ANONYMOUS), 10000, command_review},
    {"tell-test", "SHOW", "send one marked test message to the show's chat hook",
     "Sends it the way the watch does, waits for the answer and says what it was. Where it "
     "arrived, a running watch whose hook had stopped delivery begins again.",
     BIT(KEEP), 1, command_tell_test},
    {"room", "SHOW [ROOM]", "tell or change what the room is doing, for a running watch",
     "ROOM is line-check, doors, show or changeover; the last ends by itself, after --for or "
     "as the show file says.",
     TO_WATCH | BIT(FOR), 2, command_room},
    {"quiet", "SHOW", "hold findings back for a stated time, for a stated reason",
     "All that is named must match. Lists what it matches; with --now it does it. Findings of "
     "weight stop are spared unless --stop-too says otherwise. They are judged all the while, "
     "and told when the time is over and they still stand.",
     TO_WATCH | BIT(FOR) | BIT(WHY) | BIT(BY) | BIT(CHECK) | BIT(INPUT) | BIT(MIX) | BIT(PLAYER) |
         BIT(STOP_TOO) | BIT(NOW) | BIT(LIST) | BIT(END),
     1, command_quiet},
    {"status", "SHOW", "say what a running watch knows",
     "Link, what the room is doing, open findings, what is held back and by what.", TO_WATCH, 1,
     command_status},
    {"board", "SHOW", "print the links to the board of a running watch",
     "One link is to look, one to operate: its buttons work. On a terminal the first is a QR code "
     "too. They are secrets, and stay the same over a restart. The board is there where the watch "
     "was begun with --board.",
     TO_WATCH, 1, command_board},
    {"reload", "SHOW", "let a running watch read profile and show file anew",
     "All or nothing: with a mistake in a file the watch goes on with what it has.", TO_WATCH, 1,
     command_reload},
    {"check", "FILE...", "look for mistakes in profiles and show files",
     "Reads each file as the other commands would and lists every mistake with its place. For a "
     "profile it also prints what is sent beyond questions without arguments at the address of "
     "their own answer. With --schema it reads no file.",
     BIT(SCHEMA), 100, command_check},
    {"explain", "[CHECK|TOPIC]", "say what a check looks for, and why",
     "Without a word: lists the checks. With a check's id: what it looks for, why, how to mend it, "
     "its settings, formula and source. \"parameters\" lists what a profile may name, \"sources\" "
     "the kinds of sources a show file may name; \"scheme\" prints the built-in marking scheme of "
     "`review`, \"sending\" what may be sent to a desk, \"completion\" what bash needs to complete "
     "commands, options and words of this program.",
     0, 1, command_explain},
    {0},
};

/* Columns at which the texts beside commands and options begin. */
enum { COMMAND_COLUMN = 26, OPTION_COLUMN = 14 };

void
commands_print_help(FILE *to)
{
    fputs("usage: gainwarden COMMAND [options]\n\n", to);
    output_paragraph(to, 0, 0,
                     "Reads a mixing desk over OSC and tells a stage-monitor engineer what its "
                     "settings do to level and feedback margin. It only reads the desk: "
                     "`gainwarden explain sending`.");
    fputs("\ncommands:\n", to);
    for (const struct command *command = commands; command->name; command++) {
        char left[60];

        snprintf(left, sizeof left, "%-9s %s", command->name, command->words);
        output_row(to, 2, COMMAND_COLUMN, left, command->summary);
    }
    fputs("\noptions:\n", to);
    for (const struct program_option *option = program_options; option->name; option++)
        output_row(to, 2, OPTION_COLUMN, option->name, option->help);
    fputc('\n', to);
    output_paragraph(to, 0, 0,
                     "Exit status: 0 nothing to fix, 1 at least one finding of weight fix or stop, "
                     "2 wrong usage or file, 3 nothing to fix found but something could not be "
                     "known.");
}
