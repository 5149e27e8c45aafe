import asyncio

from analysis.publish.messages.station import Topic
from analysis.publish.mqtt.outbox import Outgoing
from analysis.publish.mqtt.topic_queue import TopicQueue


def message(number: int) -> Outgoing:
    return Outgoing(str(number), Topic.FINDING, b"")


async def test_the_head_stays_until_it_is_sent() -> None:
    waiting = TopicQueue(10)
    waiting.put(message(1))
    waiting.put(message(2))
    head = await waiting.head()
    assert (head, len(waiting)) == (message(1), 2)
    waiting.sent(head)
    assert await waiting.head() == message(2)


async def test_beyond_the_bound_the_oldest_goes_and_is_counted() -> None:
    waiting = TopicQueue(2)
    assert waiting.put(message(1)) is None
    under_way = await waiting.head()
    assert waiting.put(message(2)) is None
    assert waiting.put(message(3)) is under_way
    waiting.sent(under_way)  # its place is taken: nothing else may go for it
    assert (waiting.dropped, len(waiting)) == (1, 2)
    assert await waiting.head() == message(2)


async def test_messages_of_an_earlier_run_go_first() -> None:
    waiting = TopicQueue(10)
    waiting.put(message(3))
    waiting.put_before([message(1), message(2)])
    order = []
    while len(waiting):
        order.append(await waiting.head())
        waiting.sent(order[-1])
    assert order == [message(1), message(2), message(3)]


async def test_waiting_for_a_message_and_for_none() -> None:
    waiting = TopicQueue(10)
    await waiting.empty()
    head, late = asyncio.create_task(waiting.head()), message(1)
    await asyncio.sleep(0)
    assert not head.done()
    waiting.put(late)
    assert await head is late
    empty = asyncio.create_task(waiting.empty())
    await asyncio.sleep(0)
    assert not empty.done()
    waiting.discard()
    await empty
    assert waiting.dropped == 1
