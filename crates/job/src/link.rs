//! The way from a receiver: its stream over TCP or from a serial device, read beside whoever listens. No more is held than
//! a few pieces; a listener who falls behind slows the reading.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::net::{TcpStream, ToSocketAddrs};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, TryRecvError, sync_channel};
use std::time::Duration;

/// Pieces that wait to be taken, and bytes of each at most.
const PIECES: usize = 16;
const PIECE: usize = 4096;
/// How long it is waited for a connection, and for bytes before it is looked whether anybody still listens.
const CONNECT: Duration = Duration::from_secs(5);
const PATIENCE: Duration = Duration::from_millis(500);
/// Speed of a serial device where none is named, bits a second (common practice, no source).
const USUAL_BAUD: u32 = 115_200;

/// A stream being read; dropped, it is closed.
pub struct Link {
    pieces: Receiver<Result<Vec<u8>, String>>,
    stop: Arc<AtomicBool>,
}

impl Link {
    /// Begins to read `host:port`, or a device, `/dev/ttyUSB0` or `/dev/ttyUSB0@9600`; `wake` is called with each piece.
    pub fn open(address: &str, wake: impl Fn() + Send + 'static) -> Self {
        let (send, pieces) = sync_channel(PIECES);
        let (address, stop) = (address.trim().to_string(), Arc::new(AtomicBool::new(false)));
        let told = stop.clone();
        std::thread::spawn(move || {
            if let Err(why) = follow(&address, &send, &told, &wake) {
                // Nobody listens any more where it cannot be told.
                let _ = send.send(Err(format!("{address}: {why}")));
            }
            wake();
        });
        Self { pieces, stop }
    }

    /// The next piece, if there is one; why the stream ended, where it did.
    pub fn next(&self) -> Option<Result<Vec<u8>, String>> {
        match self.pieces.try_recv() {
            Ok(piece) => Some(piece),
            Err(TryRecvError::Empty) => None,
            Err(TryRecvError::Disconnected) => Some(Err("the stream has ended".into())),
        }
    }

    /// Waits for the next piece for so long.
    pub fn wait(&self, patience: Duration) -> Option<Result<Vec<u8>, String>> {
        self.pieces.recv_timeout(patience).ok().or_else(|| self.next())
    }
}

impl Drop for Link {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

fn follow(
    address: &str,
    send: &SyncSender<Result<Vec<u8>, String>>,
    stop: &AtomicBool,
    wake: &impl Fn(),
) -> Result<(), String> {
    let (mut stream, ends): (Box<dyn Read>, bool) = if address.starts_with('/') {
        (Box::new(device(address)?), false)
    } else {
        (Box::new(connect(address)?), true)
    };
    let mut piece = [0; PIECE];
    while !stop.load(Ordering::Relaxed) {
        match stream.read(&mut piece) {
            Ok(0) if ends => return Err("the receiver closed the stream".into()),
            Ok(0) => {}
            Ok(count) => {
                if send.send(Ok(piece[..count].to_vec())).is_err() {
                    return Ok(());
                }
                wake();
            }
            Err(error)
                if matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut | ErrorKind::Interrupted) => {}
            Err(error) => return Err(error.to_string()),
        }
    }
    Ok(())
}

fn connect(address: &str) -> Result<TcpStream, String> {
    let expected = || format!("found '{address}', expected HOST:PORT or a device such as /dev/ttyUSB0");
    let places = address.to_socket_addrs().map_err(|error| format!("{}: {error}", expected()))?;
    let mut why = expected();
    for place in places {
        match TcpStream::connect_timeout(&place, CONNECT) {
            Ok(stream) => {
                stream.set_read_timeout(Some(PATIENCE)).map_err(|error| error.to_string())?;
                return Ok(stream);
            }
            Err(error) => why = error.to_string(),
        }
    }
    Err(why)
}

/// Opens a serial device as plain bytes at its speed; reading it ends after a moment without any.
#[cfg(unix)]
fn device(address: &str) -> Result<File, String> {
    use rustix::termios::{OptionalActions, SpecialCodeIndex, tcgetattr, tcsetattr};
    let (path, baud) = match address.split_once('@') {
        Some((path, baud)) => {
            (path, baud.parse().map_err(|_| format!("found '{baud}', expected a speed such as 9600"))?)
        }
        None => (address, USUAL_BAUD),
    };
    let file = File::open(path).map_err(|error| error.to_string())?;
    let mut line = tcgetattr(&file).map_err(|_| "found no serial device".to_string())?;
    line.make_raw();
    line.special_codes[SpecialCodeIndex::VMIN] = 0;
    line.special_codes[SpecialCodeIndex::VTIME] = (PATIENCE.as_millis() / 100) as u8;
    line.set_speed(baud).map_err(|error| error.to_string())?;
    tcsetattr(&file, OptionalActions::Now, &line).map_err(|error| error.to_string())?;
    Ok(file)
}

#[cfg(not(unix))]
fn device(_: &str) -> Result<File, String> {
    Err("expected HOST:PORT: serial devices are read on Unix only".into())
}
