/* SPDX-License-Identifier: MIT */
#include "show/agreement.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>
#include <termios.h>
#include <unistd.h>

#include "base/escape.h"
#include "profile/agreed.h"
#include "profile/sending.h"

static bool
is_agreed(const struct session *session, const struct options *options,
          const struct sending *sending)
{
    const char *agreed = session->file ? session->file->agreed : NULL;

    return sending->count == 0 || (agreed && strcmp(agreed, sending->hash) == 0) ||
           agreed_ships(sending->hash) || agreed_is_kept(options->keep, sending->hash);
}

static const char *
path_of(const struct session *session, const struct options *options)
{
    return options->profile ? options->profile : session->file->profile;
}

/* The answer of a person who has seen the list: what was typed before it does not count, and what
 * is left of a long line answers no other question. */
static bool
ask(void)
{
    char line[16];
    bool ended;
    int rest = 0;

    fputs("Send these to the desk? [y/N] ", stderr);
    fflush(stderr);
    tcflush(STDIN_FILENO, TCIFLUSH);
    if (!fgets(line, sizeof line, stdin))
        return false;
    ended = strchr(line, '\n') != NULL;
    while (!ended && rest != '\n' && rest != EOF)
        rest = getchar();
    line[strcspn(line, "\n")] = '\0';
    return strcasecmp(line, "y") == 0 || strcasecmp(line, "yes") == 0;
}

/* Prints the list and gets an answer to it. */
static bool
get_agreed(const struct session *session, const struct options *options,
           const struct sending *sending)
{
    fputs("gainwarden: ", stderr);
    escape_print(stderr, path_of(session, options));
    fputs(": nobody has agreed yet to what it sends:\n", stderr);
    sending_print(sending, stderr);
    if (options->yes || (isatty(STDIN_FILENO) && isatty(STDERR_FILENO) && ask())) {
        agreed_keep(options->keep, sending->hash, session->profile->desk);
        return true;
    }
    fputs("gainwarden: not agreed to, nothing was sent; let somebody who knows the desk read the "
          "list\n",
          stderr);
    return false;
}

bool
agreement_begin(struct session *session, const struct options *options)
{
    struct sending sending;

    sending_of(session->profile, &sending);
    session->profile->agreed =
        is_agreed(session, options, &sending) || get_agreed(session, options, &sending);
    sending_release(&sending);
    return session->profile->agreed;
}

bool
agreement_renew(struct session *session, const struct session *running,
                const struct options *options, struct problems *problems)
{
    struct sending sending, now;

    sending_of(session->profile, &sending);
    sending_of(running->profile, &now);
    session->profile->agreed =
        strcmp(sending.hash, now.hash) == 0 || is_agreed(session, options, &sending);
    if (!session->profile->agreed)
        problems_add(problems,
                     "%s: nobody has agreed to what it sends now; `gainwarden check` prints the "
                     "list, and its hash under desk.agreed in the show file agrees",
                     path_of(session, options));
    sending_release(&sending);
    sending_release(&now);
    return session->profile->agreed;
}
