/* All interleavings of a pair: every channel does its blocks one by one, waits hold it. What a block does: pair.h. */
c_decl {
  \#include <stdio.h>
  \#include <stdlib.h>
  \#include "names.h"
};
#define CH 3
short p; byte n;
bit lc = 1, rc, lt, rt, lx, rx, lb, rb, syn, cat, fwd;
byte stock = 1, held;
bit in0[CH], in1[CH], done[CH], go[CH], under[CH], mid[CH]; byte kind[CH]; short at[CH];
c_code { \#include "pair.h" };

#define KIND blocks[now.p][PChannel->c][PChannel->i].kind
#define IS_DONE(o) ((named >> o & 1) && (o >= n || done[o]))

proctype Channel(byte c) {
  short i = 0; byte named;
  do
  :: c_expr { KIND == 0 } -> d_step {
       c_code { act(PChannel->c, PChannel->i); PChannel->i = next_of(PChannel->c, PChannel->i); } }
  :: c_expr { KIND == 1 } -> d_step { c_code {
       arrive(PChannel->c, PChannel->i); PChannel->named = named_of(PChannel->c, PChannel->i); } };
       if
       :: go[c] -> d_step { go[c] = 0; c_code { PChannel->i = next_of(PChannel->c, PChannel->i);
                                                stand(PChannel->c, PChannel->i); } }
       :: !go[c] && (IS_DONE(0) || IS_DONE(1) || IS_DONE(2) || IS_DONE(7)) -> c_code { hit(F_waits_ended); };
          endw: false
       fi
  :: c_expr { KIND == 2 } -> done[c] = 1; break
  od;
  ende: false
}

init {
  c_code { load(); };
  do :: c_expr { now.p + 1 < pairs } -> p++ :: break od;
  c_code { now.n = channels[now.p]; };
  atomic { run Channel(0); run Channel(1); if :: n > 2 -> run Channel(2) :: else fi };
  timeout;
  if
  :: done[0] && done[1] && (n < 3 || done[2]) -> c_code { last(); }
  :: else -> c_code { hit(F_waits_hung); }
  fi;
  end0: false
}
