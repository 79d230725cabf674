#!/usr/bin/env python3
"""A mail relay for the integration tests (needs aiosmtpd).

    smtp_peer.py FOLDER [--port N] [--mode ok|tempfail|reject]

Prints "PORT n", then writes every accepted letter to FOLDER/0001.eml and so on, with a first line
"X-Peer-To: recipient". tempfail answers RCPT with 451, reject with 550. Ends on SIGTERM.
"""

import argparse
import asyncio
import os
import signal

from aiosmtpd.smtp import SMTP


class Peer:
    def __init__(self, folder, mode):
        self.folder, self.mode, self.count = folder, mode, 0

    async def handle_RCPT(self, server, session, envelope, address, options):
        if self.mode == "tempfail":
            return "451 4.7.1 come back later"
        if self.mode == "reject":
            return "550 5.1.1 no such user"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server, session, envelope):
        self.count += 1
        path = os.path.join(self.folder, f"{self.count:04}.eml")
        # Renamed when whole, so that a test that lists *.eml never reads half a letter.
        with open(path + ".tmp", "wb") as file:
            file.write(f"X-Peer-To: {', '.join(envelope.rcpt_tos)}\r\n".encode())
            file.write(envelope.original_content)
        os.rename(path + ".tmp", path)
        return "250 taken"


async def serve(args):
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    for name in (signal.SIGTERM, signal.SIGINT):
        loop.add_signal_handler(name, stop.set)
    peer = Peer(args.folder, args.mode)
    server = await loop.create_server(lambda: SMTP(peer), "127.0.0.1", args.port)
    print("PORT", server.sockets[0].getsockname()[1], flush=True)
    await stop.wait()
    server.close()


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("folder")
    parser.add_argument("--port", type=int, default=0)
    parser.add_argument("--mode", choices=["ok", "tempfail", "reject"], default="ok")
    asyncio.run(serve(parser.parse_args()))
